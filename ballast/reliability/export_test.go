package reliability

// Quantile returns the value of a distribution at a standard normal score.
func Quantile(d Distribution, z float64) float64 { return d.marginal()(z) }

// Wilson is the interval of a share.
func Wilson(f, n int) (low, high float64) { return wilson(f, n) }
