package electrical

import (
	"fmt"
	"math"

	"plumbrule/internal/quantity"
)

// Device is a kind of overcurrent device.
type Device string

const (
	Fuse    Device = "fuse"
	Breaker Device = "breaker"
)

// ratings calls visit with the standard ratings of a kind, from small to
// large, until it returns false.
func (r *reader) ratings(kind Device, visit func(row string, rating float64) bool) {
	if kind != Fuse && kind != Breaker {
		r.fail(outside("device %q is neither fuse nor breaker", kind))
	}
	t := r.table(tableStandard)
	if t == nil {
		return
	}
	for _, row := range t.Rows {
		forKind, _ := t.Text(row.Key, "kind")
		if a, ok := t.Quantity(row.Key, "rating"); ok && (forKind == "both" || forKind == string(kind)) && !visit(row.Key, a) {
			return
		}
	}
}

// StandardOvercurrent is the smallest standard rating for a current.
type StandardOvercurrent struct {
	Basis
	Current float64 // A
	Kind    Device
	Rating  float64 // A
}

// StandardOvercurrent gives the smallest standard rating that is not less than
// a current in A. Source: NEC 240.6(A).
func (c *Code) StandardOvercurrent(current float64, kind Device) (StandardOvercurrent, error) {
	r := c.reader()
	r.need("the current", current)
	s := StandardOvercurrent{Current: current, Kind: kind, Rating: r.nextStandard(current, kind)}
	s.Basis = r.basis()
	return s, r.err
}

func (r *reader) nextStandard(current float64, kind Device) float64 {
	found := math.NaN()
	r.ratings(kind, func(row string, rating float64) bool {
		if !quantity.AtLeast(rating, current) {
			return true
		}
		found = rating
		r.use(r.table(tableStandard), row)
		return false
	})
	if r.err == nil && math.IsNaN(found) {
		r.fail(outside("no standard %s is rated %s or more", kind, amps(current)))
	}
	return found
}

// IsStandard reports whether a rating in A is a standard one. Source: NEC
// 240.6(A).
func (c *Code) IsStandard(rating float64, kind Device) (bool, error) {
	r := c.reader()
	r.need("the rating", rating)
	is := false
	r.ratings(kind, func(_ string, a float64) bool {
		is = is || quantity.Near(a, rating)
		return !is
	})
	return is, r.err
}

// Work gives the calculation.
func (s StandardOvercurrent) Work(quantity.System) []string {
	return []string{fmt.Sprintf("smallest standard %s not below %s: %s", s.Kind, amps(s.Current), amps(s.Rating))}
}

// Protection is the largest overcurrent device that may protect conductors.
type Protection struct {
	Basis
	Ampacity float64 // A
	Small    float64 // A, the limit of a small conductor; NaN where there is none
	Largest  float64 // A
	Rule     string  // section that decides
}

// Protection gives the largest standard device for conductors of a size whose
// ampacity after conditions of use is given in A: the next standard rating up
// to 800 A, above that the rating not over the ampacity, and for small
// conductors never more than their own limit. Source: NEC 240.4(B), (C), (D).
func (c *Code) Protection(size quantity.Size, m Material, ampacity float64) (Protection, error) {
	r := c.reader()
	r.failIf(m.check())
	r.need("the ampacity", ampacity)
	p := Protection{Ampacity: ampacity, Small: math.NaN(), Rule: "240.4(B)"}
	limit := r.amount(tableNextSize, "next size up to")
	if r.err != nil {
		return p, r.err
	}
	if quantity.AtMost(ampacity, limit) {
		p.Largest = r.nextStandard(ampacity, Breaker)
	} else {
		p.Rule = "240.4(C)"
		r.ratings(Breaker, func(_ string, rating float64) bool {
			if quantity.AtMost(rating, ampacity) {
				p.Largest = rating
			}
			return quantity.AtMost(rating, ampacity)
		})
	}
	small := r.table(tableSmallConductor)
	if small != nil {
		if a, ok := small.Quantity(size.Key(), string(m)); ok {
			r.use(small, size.Key())
			if p.Small = a; a < p.Largest {
				p.Largest, p.Rule = a, "240.4(D)"
			}
		}
	}
	p.Basis = r.basis()
	return p, r.err
}

// Work gives the calculation.
func (p Protection) Work(quantity.System) []string {
	return []string{fmt.Sprintf("largest overcurrent device for an ampacity of %s by %s: %s", amps(p.Ampacity), p.Rule, amps(p.Largest))}
}

// StringFuse is whether a string among parallel strings needs a fuse, and
// which.
type StringFuse struct {
	Basis
	ShortCircuit      float64 // rated short-circuit current of one string, A
	Strings           int     // in parallel
	MaximumSeriesFuse float64 // A, of the module
	Irradiance        float64 // the code's factor for irradiance
	Continuous        float64 // the code's factor on the maximum current
	Backfeed          float64 // A, from the other strings
	Required          bool    // whether the backfeed exceeds what the module withstands
	RequiredRating    float64 // A
	Rating            float64 // A, the smallest standard fuse; NaN where even that exceeds the module's maximum
	Exists            bool    // whether a fuse is large enough for the string and small enough for its modules
}

// StringFuse decides whether one of like strings in parallel needs its own
// fuse: the others drive (strings - 1) times the maximum circuit current into
// a fault in it, and its modules withstand no more than their maximum series
// fuse. A fuse carries the continuous factor on the maximum current and does
// not exceed that maximum. Isc in A includes any gain from the rear. Source:
// NEC 690.9(A) and (B), 690.8(A), 240.6(A).
func (c *Code) StringFuse(shortCircuit float64, strings int, maximumSeriesFuse float64) (StringFuse, error) {
	r := c.reader()
	r.need("the short-circuit current", shortCircuit)
	r.needCount("the count of strings", strings)
	r.need("the maximum series fuse", maximumSeriesFuse)
	f := StringFuse{ShortCircuit: shortCircuit, Strings: strings, MaximumSeriesFuse: maximumSeriesFuse}
	f.Irradiance = r.value(tableCurrent, "irradiance")
	f.Continuous = r.value(tableStringOvercurrent, "rating factor")
	f.Backfeed = r.rounded(float64(strings-1) * shortCircuit * f.Irradiance)
	f.Required = !quantity.AtMost(f.Backfeed, maximumSeriesFuse)
	f.RequiredRating = r.rounded(shortCircuit * f.Irradiance * f.Continuous)
	f.Rating = r.nextStandard(f.RequiredRating, Fuse)
	if f.Exists = quantity.AtMost(f.Rating, maximumSeriesFuse); !f.Exists {
		f.Rating = math.NaN()
	}
	f.Basis = r.basis()
	return f, r.err
}

// Work gives the calculation.
func (f StringFuse) Work(quantity.System) []string {
	need := "no fuse is needed for the module"
	if f.Required {
		need = "each string needs a fuse"
	}
	lines := []string{
		fmt.Sprintf("backfeed from %d other strings = %d x %s x %s = %s; the module's maximum series fuse is %s: %s", f.Strings-1, f.Strings-1, amps(f.ShortCircuit), factor(f.Irradiance), amps(f.Backfeed), amps(f.MaximumSeriesFuse), need),
		fmt.Sprintf("least rating = %s x %s x %s = %s", amps(f.ShortCircuit), factor(f.Irradiance), factor(f.Continuous), amps(f.RequiredRating)),
	}
	if !f.Exists {
		return append(lines, fmt.Sprintf("no standard fuse lies between %s and %s", amps(f.RequiredRating), amps(f.MaximumSeriesFuse)))
	}
	return append(lines, fmt.Sprintf("smallest standard fuse = %s", amps(f.Rating)))
}
