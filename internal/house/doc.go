// Package house holds no code, only tests of the rules for the whole repository: its
// layout, its imports, its doc comments and its package state. They need only the go
// command.
package house
