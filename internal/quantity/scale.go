package quantity

import "strings"

// Scale is a unit without a number, as the head of a table's column names it.
// The zero Scale is that of plain numbers.
type Scale struct {
	name              string
	times, over, zero float64
}

// ParseScale reads a unit: any spelling that Parse takes behind a number
// ("ft", "%", "lb/in"; where one serves two dimensions the commoner is meant,
// as in ParseAny), or a quotient of two of them, each with a power of 2 or 3
// behind it if need be ("lb/ft3", "1/in", "psf/mph2"). ok is false for
// anything else and for the empty text, which names no unit.
func ParseScale(text string) (s Scale, ok bool) {
	if text == "" {
		return Scale{}, false
	}
	if found := lookup(text); found != nil {
		u := found[0]
		return Scale{strings.TrimPrefix(text, "delta "), u.times, u.over, u.zero}, true
	}
	above, below, quotient := strings.Cut(text, "/")
	if !quotient {
		return Scale{}, false
	}
	a, b := Scale{"", 1, 1, 0}, Scale{}
	if above != "1" {
		if a, ok = power(above); !ok {
			return Scale{}, false
		}
	}
	if b, ok = power(below); !ok {
		return Scale{}, false
	}
	return Scale{text, a.times * b.over, a.over * b.times, 0}, true
}

// power reads a unit with a power behind it. A scale with a zero of its own,
// such as degF, has no quotient.
func power(text string) (Scale, bool) {
	found, n := lookup(text), 1
	if found == nil && text != "" {
		if n = strings.Index("23", text[len(text)-1:]) + 2; n > 1 {
			found = lookup(text[:len(text)-1])
		}
	}
	if found == nil || text == "" || found[0].name() == "" || found[0].zero != 0 {
		return Scale{}, false
	}
	s := Scale{text, 1, 1, 0}
	for range n {
		s.times, s.over = s.times*found[0].times, s.over*found[0].over
	}
	return s, true
}

// Base gives x of the unit in the base unit.
func (s Scale) Base(x float64) float64 {
	if s.over == 0 {
		return x
	}
	return (x + s.zero) * s.times / s.over
}

// Written gives a value in the base unit in the unit, the other way round.
func (s Scale) Written(si float64) float64 {
	if s.over == 0 {
		return si
	}
	return si*s.over/s.times - s.zero
}

// Plain reports whether the scale is that of plain numbers.
func (s Scale) Plain() bool { return s.over == 0 }

// String is the unit as it was written, without the word that tells a
// difference of temperatures from a temperature.
func (s Scale) String() string { return s.name }
