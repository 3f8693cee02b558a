package structural

import (
	"math"

	"plumbrule/internal/table"
)

// Curve is a coefficient by area, linear in the logarithm of the area between
// its points and constant outside. Two curves can be blended, which is how a
// figure between two figures is read. Areas are in m2,
// or plain numbers in a curve of normalised areas.
type Curve struct {
	areas, logs, values []float64
	other               *Curve
	share               float64 // of other
	Ref                 table.Ref
}

// newCurve reads a row with the columns area-1, value-1, area-2, ...
func (s *source) curve(t *table.Table, key string) *Curve {
	c := &Curve{Ref: t.Ref(key)}
	for _, n := range []string{"1", "2", "3"} {
		a, ok := number(t, key, "area-"+n)
		v, ok2 := t.Number(key, "value-"+n)
		if !ok || !ok2 {
			break
		}
		c.areas = append(c.areas, a)
		c.logs = append(c.logs, math.Log(a))
		c.values = append(c.values, v)
	}
	if len(c.areas) < 2 {
		s.fault(t, key, "a curve needs two points")
	}
	return c
}

// blend is the curve at share of the way from c to other.
func (c *Curve) blend(other *Curve, share float64) *Curve {
	return &Curve{areas: c.areas, logs: c.logs, values: c.values, other: other, share: share, Ref: c.Ref}
}

// peak is the curve held at its first value, that of the smallest areas.
func (c *Curve) peak() *Curve {
	return &Curve{areas: c.areas[:1], logs: c.logs[:1], values: c.values[:1], Ref: c.Ref}
}

// At reads the curve at an area in m2; NaN for an area that is not above zero.
func (c *Curve) At(area float64) float64 {
	if !(area > 0) {
		return math.NaN()
	}
	v := c.single(area, math.Log(area), c.logs)
	if c.other != nil {
		v += c.share * (c.other.At(area) - v)
	}
	return v
}

// LinearAt reads the curve linearly in the area itself: a reading that filed
// calculations make, wrong by the figure's own scale.
func (c *Curve) LinearAt(area float64) float64 {
	if !(area > 0) {
		return math.NaN()
	}
	v := c.single(area, area, c.areas)
	if c.other != nil {
		v += c.share * (c.other.LinearAt(area) - v)
	}
	return v
}

func (c *Curve) single(area, x float64, xs []float64) float64 {
	last := len(c.areas) - 1
	switch {
	case area <= c.areas[0]:
		return c.values[0]
	case area >= c.areas[last]:
		return c.values[last]
	}
	i := 1
	for area > c.areas[i] {
		i++
	}
	return c.values[i-1] + (c.values[i]-c.values[i-1])*(x-xs[i-1])/(xs[i]-xs[i-1])
}
