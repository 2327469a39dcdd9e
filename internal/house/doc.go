// Package house holds no code, only tests: the rules that the whole
// repository keeps, over its layout, its imports, its doc comments and its
// package state. They need the go command and nothing else.
package house
