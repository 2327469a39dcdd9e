// Package ballast answers what a machine may lift, and what weight must go where.
package ballast
