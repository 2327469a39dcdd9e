// Package units answers how much a quantity is in the user's unit. Quantities
// are defined float64 types that count SI units; unit constants carry the
// exact factors of NIST SP 811:2008, Appendix B; there is one strict parser
// and one formatter.
package units
