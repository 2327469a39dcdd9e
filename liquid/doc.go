// Package liquid answers what goes into a tire: volume, mass, place, freezing point and mixture.
package liquid
