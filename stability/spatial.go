package stability

type spatial struct{}

func (r *spatial) rate(s, into *state) {}
