package layout

import (
	"errors"
	"fmt"
	"strings"
)

// Limit is one row of a maker's span table. An empty word holds for any value.
// Lengths are in metres.
type Limit struct {
	Zone, Exposure, Orientation string
	Span                        float64
	Cantilever                  *float64 // nil: the row states none; zero allows no overhang
	Uplift, Down                *float64 // pressures up to which the span holds, Pa; nil: the row states none
}

// ErrNoLimit is returned when a maker's table has no row for the case asked.
var ErrNoLimit = errors.New("the maker's table has no row for this case")

// FindLimit gives the row for a zone, exposure and orientation. A row that
// names more of the three goes before one that names fewer; of equally exact
// rows the smaller span, cantilever and pressures hold.
//
// The error wraps ErrNoLimit when no row fits; a span that is not positive or a
// cantilever that is negative is an error as well.
func FindLimit(limits []Limit, zone, exposure, orientation string) (Limit, error) {
	best, exactness, found := Limit{}, -1, false
	for i, l := range limits {
		if err := l.valid(); err != nil {
			return Limit{}, fmt.Errorf("row %d of the maker's table: %w", i+1, err)
		}
		n, fits := l.fits(zone, exposure, orientation)
		switch {
		case !fits || n < exactness:
		case n > exactness:
			best, exactness, found = l, n, true
		default:
			best.Span = min(best.Span, l.Span)
			best.Cantilever = lesser(best.Cantilever, l.Cantilever)
			best.Uplift, best.Down = lesser(best.Uplift, l.Uplift), lesser(best.Down, l.Down)
		}
	}
	if !found {
		var asked []string
		for _, word := range [...][2]string{{"zone", zone}, {"exposure", exposure}, {"orientation", orientation}} {
			if word[1] != "" {
				asked = append(asked, word[0]+" "+word[1])
			}
		}
		return Limit{}, fmt.Errorf("%s: %w", strings.Join(asked, ", "), ErrNoLimit)
	}
	return best, nil
}

func (l Limit) valid() error {
	if l.Cantilever != nil {
		if err := wantAtLeastZero("the cantilever", *l.Cantilever); err != nil {
			return err
		}
	}
	return wantPositive("the span", l.Span)
}

func (l Limit) fits(zone, exposure, orientation string) (exactness int, fits bool) {
	for _, word := range [...][2]string{{l.Zone, zone}, {l.Exposure, exposure}, {l.Orientation, orientation}} {
		switch word[0] {
		case "":
		case word[1]:
			exactness++
		default:
			return 0, false
		}
	}
	return exactness, true
}

// CantileverLimit is the largest overhang, in metres, beside a span: the maker's
// length where stated and the share of the span where stated, the smaller of
// both; nil is not stated. ok is false when neither is stated, when a value is
// negative or not a number, or when a share is stated and there is no span
// beside the overhang to take it of.
func CantileverLimit(stated, share *float64, beside float64) (limit float64, ok bool) {
	if share != nil {
		ofSpan := *share * beside
		if *share < 0 || !finite(ofSpan) || !(beside > 0) {
			return 0, false
		}
		share = &ofSpan
	}
	least := lesser(stated, share)
	if least == nil || stated != nil && !finite(*stated) || *least < 0 {
		return 0, false
	}
	return *least, true
}

// lesser is the smaller of two limits, of which nil is none.
func lesser(a, b *float64) *float64 {
	if a == nil || b != nil && *b < *a {
		return b
	}
	return a
}
