package ballast_test

import (
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// What may be chosen is said without the value for "not given".
func TestChoicesSaid(t *testing.T) {
	for _, c := range []struct {
		v    interface{ Validate() error }
		want string
	}{
		{ballast.Basis{Fraction: 0.2}, "kind: must be one of rearShare, tippingFraction, noWheelUnloaded"},
		{ballast.Lift{}, "datum: must be one of pin, tine, edge, load"},
		{ballast.Lift{Datum: 9}, "must be one of pin, tine, edge, load"},
	} {
		if err := c.v.Validate(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v; want %q", c.v, err, c.want)
		}
	}
}

// Shares of the axles, by hand: 600 and 900 of 1500 kg.
func TestShares(t *testing.T) {
	a := ballast.WheelLoads{Front: 600, Rear: 900}
	near(t, "front", float64(a.FrontShare()), 0.4, 1e-15)
	near(t, "rear", float64(a.RearShare()), 0.6, 1e-15)
	a = ballast.WheelLoads{Front: 1000, Rear: -100} // tipping: what is lifted counts against
	near(t, "front", float64(a.FrontShare()), 1000./900, 1e-15)
	near(t, "rear", float64(a.RearShare()), -100./900, 1e-15)
	if a = (ballast.WheelLoads{}); a.FrontShare() != 0 || a.RearShare() != 0 {
		t.Errorf("no mass: %v, %v", a.FrontShare(), a.RearShare())
	}
}

// Limits by kind, and nothing outside the list.
func TestLimitOfKind(t *testing.T) {
	var u ballast.Use
	var c ballast.Check
	for i := range ballast.NumLimits {
		u.Limits[i].Mass, c.Limits[i].Left = units.Mass(i+1), units.Mass(i+1)
	}
	for k := range ballast.NumLimits + 3 {
		want := units.Mass(k)
		if k > ballast.NumLimits {
			want = 0
		}
		if got := u.Limit(ballast.LimitKind(k)).Mass; got != want {
			t.Errorf("limit %d is %v", k, got)
		}
		if got := c.Limit(ballast.LimitKind(k)).Left; got != want {
			t.Errorf("share %d is %v", k, got)
		}
	}
	for s := stability.NotChecked; s <= stability.CannotOccur; s++ {
		c.Status = s
		if got, want := c.OK(), s == stability.Within || s == stability.Binds; got != want {
			t.Errorf("%v: OK is %v", s, got)
		}
	}
	// Density times the load's own volume, or the bucket's.
	bucket := ballast.Attachment{Kind: ballast.Bucket, Volume: units.Is[units.Volume](0.5)}
	for _, c := range []struct {
		l    ballast.Load
		want float64
	}{{ballast.Load{Mass: 7}, 7}, {ballast.Load{}, 0}, {ballast.Load{Density: 1600}, 800}, {ballast.Load{Density: 1600, Volume: 0.2}, 320}} {
		near(t, "load", float64(c.l.MassOn(bucket)), c.want, 1e-9)
	}
}
