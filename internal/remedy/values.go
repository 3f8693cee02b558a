package remedy

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// candidate is a value that may be tried.
type candidate struct {
	text string // as a job writes it
	edit any    // as an edit sets it
	at   float64
	side int // 0 down, 1 up
}

// unreadable reports whether an edit failed because the job cannot hold the value.
func unreadable(err error) bool {
	var faults source.Faults
	return errors.As(err, &faults)
}

// valuesOf lists the values that may stand in a slot in the place of the one that
// does, nearest first and the smaller of two as near first. why says why there are
// none to speak of.
func valuesOf(r *review.Review, slot *job.Slot, x *target) (old string, values []candidate, why string) {
	switch v := slot.Value().(type) {
	case job.Quantity:
		return v.Value.String(), ordered(v.Value.SI, quantities(r, v.Value, x), x.Direction), ""
	case job.PointAt:
		at := v.Value.X
		if x.Part == 2 {
			at = v.Value.Y
		}
		unit := quantity.Value{SI: at, Dim: quantity.Length, Unit: x.By.Unit}
		return unit.String(), ordered(at, quantities(r, unit, x), x.Direction), ""
	case job.Count:
		var list []candidate
		for _, n := range multiples(float64(v.Value), x.By.Number) {
			list = append(list, candidate{text: strconv.Itoa(int(n)), edit: int(math.Round(n)), at: n})
		}
		return strconv.Itoa(v.Value), ordered(float64(v.Value), list, x.Direction), ""
	case job.Size:
		var list []candidate
		for _, s := range quantity.Sizes() {
			list = append(list, candidate{text: s.String(), edit: s.String(), at: float64(s)})
		}
		return v.Value.String(), ordered(float64(v.Value), list, x.Direction), ""
	case job.Text:
		return v.Value, words(v.Value, x.Values, x.Direction), ""
	}
	return "", nil, x.Key + " holds no single value that could be varied"
}

// quantities are the values of a declaration for a quantity that is written in a
// unit: multiples of the step, or standard values.
func quantities(r *review.Review, old quantity.Value, x *target) []candidate {
	var out []candidate
	switch {
	case x.Step != "":
		unit := old.Unit
		if unit == "" || unit == "ft in" || strings.HasPrefix(unit, ":") && x.By.Unit != unit {
			unit = cmp.Or(x.By.Unit, old.Dim.Units()[0])
		}
		for _, si := range multiples(old.SI, x.By.Number) {
			if c, ok := written(quantity.Value{SI: si, Dim: old.Dim, Unit: unit}); ok {
				out = append(out, c)
			}
		}
	case x.Table != "":
		t, err := r.Model.Tables.Get(x.Code, r.Adopted[x.Code], x.Table)
		if err != nil {
			return nil
		}
		for _, row := range t.Rows {
			if si, ok := t.Quantity(row.Key, x.Column); ok {
				if c, ok := written(quantity.Value{SI: si, Dim: old.Dim, Unit: old.Unit}); ok {
					out = append(out, c)
				}
			}
		}
	default:
		for _, text := range x.Values {
			if v, err := quantity.Parse(text, old.Dim); err == nil {
				out = append(out, candidate{text: text, edit: text, at: v.SI})
			}
		}
	}
	return out
}

// written is a value as a job writes it, in its unit. What counts is the value that
// is read back, which is what is tried.
func written(v quantity.Value) (candidate, bool) {
	text := v.String()
	back, err := quantity.Parse(text, v.Dim)
	if err != nil {
		return candidate{}, false
	}
	return candidate{text: text, edit: text, at: back.SI}, true
}

// multiples of a step on both sides of a value, none of which is that value: one more
// on each side than may be tried, so that a search sees that it is bounded.
func multiples(at, step float64) []float64 {
	var out []float64
	if !(step > 0) || math.IsInf(step, 0) {
		return nil
	}
	low, high := math.Ceil(at/step-1e-6)-1, math.Floor(at/step+1e-6)+1
	for i := range bound.RemedySteps + 1 {
		out = append(out, (low-float64(i))*step, (high+float64(i))*step)
	}
	return out
}

// ordered keeps the values on the side of a direction, nearest first.
func ordered(at float64, list []candidate, direction string) []candidate {
	var out []candidate
	for _, c := range list {
		switch near := quantity.Near(c.at, at); {
		case near:
			continue
		case c.at > at:
			c.side = 1
		}
		if direction == codebook.Down && c.side == 1 || direction == codebook.Up && c.side == 0 {
			continue
		}
		out = append(out, c)
	}
	slices.SortStableFunc(out, func(a, b candidate) int {
		da, db := math.Abs(a.at-at), math.Abs(b.at-at)
		if quantity.Near(da, db) {
			return cmp.Compare(a.side, b.side)
		}
		return cmp.Compare(da, db)
	})
	return slices.CompactFunc(out, func(a, b candidate) bool { return a.text == b.text })
}

// words lists the other texts of a list: those behind the present one going up, those
// before it going down, and all where it is not among them.
func words(old string, list []string, direction string) []candidate {
	at := slices.Index(list, old)
	var out []candidate
	for i, text := range list {
		c := candidate{text: text, edit: text, at: float64(i)}
		if i > at {
			c.side = 1
		}
		if i == at || at >= 0 && (direction == codebook.Down && c.side == 1 || direction == codebook.Up && c.side == 0) {
			continue
		}
		out = append(out, c)
	}
	if at >= 0 {
		slices.SortStableFunc(out, func(a, b candidate) int {
			return cmp.Compare(math.Abs(a.at-float64(at)), math.Abs(b.at-float64(at)))
		})
	}
	return out
}
