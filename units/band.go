package units

// Range is an envelope: the lowest and the highest value that the bounds of the
// inputs allow. It has no probability; see [Interval].
type Range[Q Quantity] struct {
	// Low is the lowest and High the highest value; both are possible.
	Low  Q `json:"low"`
	High Q `json:"high"`
}

// Contains reports whether q lies in the range, its ends included.
func (r Range[Q]) Contains(q Q) bool { return r.Low <= q && q <= r.High }

// Interval is a statistical interval: it holds the true value with the probability
// Level, under the stated assumptions of the method.
type Interval[Q Quantity] struct {
	// Low and High are the ends of the interval.
	Low  Q `json:"low"`
	High Q `json:"high"`
	// Level is the probability, such as 0.95.
	Level float64 `json:"level"`
}

// Contains reports whether q lies in the interval, its ends included.
func (i Interval[Q]) Contains(q Q) bool { return i.Low <= q && q <= i.High }
