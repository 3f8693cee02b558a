package layout

import (
	"errors"
	"fmt"
)

// Limit is one row of a maker's span table. An empty word holds for any value.
// Lengths are in metres.
type Limit struct {
	Zone, Exposure, Orientation string
	Span                        float64
	Cantilever                  float64 // 0: the row states none
}

// ErrNoLimit is returned when a maker's table has no row for the case asked.
var ErrNoLimit = errors.New("the maker's table has no row for this case")

// FindLimit gives the row for a zone, exposure and orientation. A row that
// names more of the three goes before one that names fewer; of equally exact
// rows the smaller span and the smaller cantilever hold.
//
// The error wraps ErrNoLimit when no row fits; a span that is not positive or a
// cantilever that is negative is an error as well.
func FindLimit(limits []Limit, zone, exposure, orientation string) (Limit, error) {
	best, exactness, found := Limit{}, -1, false
	for i, l := range limits {
		if err := errors.Join(wantPositive("the span", l.Span), wantAtLeastZero("the cantilever", l.Cantilever)); err != nil {
			return Limit{}, fmt.Errorf("row %d of the maker's table: %w", i+1, err)
		}
		n, fits := l.fits(zone, exposure, orientation)
		switch {
		case !fits || n < exactness:
		case n > exactness:
			best, exactness, found = l, n, true
		default:
			best.Span = min(best.Span, l.Span)
			best.Cantilever = lesserStated(best.Cantilever, l.Cantilever)
		}
	}
	if !found {
		return Limit{}, fmt.Errorf("zone %q, exposure %q, orientation %q: %w", zone, exposure, orientation, ErrNoLimit)
	}
	return best, nil
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

// CantileverLimit is the largest overhang beside a span: the maker's length
// where stated (0: not stated) and the share of the span where stated, the
// smaller of both. ok is false when neither is stated, or when a share is the
// only limit and there is no span beside the overhang to take it of.
func CantileverLimit(stated, share, beside float64) (limit float64, ok bool) {
	if !(stated >= 0) || !(share >= 0) || !finite(stated) || !finite(share) || !finite(beside) {
		return 0, false
	}
	ofSpan := 0.0
	if share > 0 {
		if beside <= 0 {
			return 0, false
		}
		ofSpan = share * beside
	}
	limit = lesserStated(stated, ofSpan)
	return limit, limit > 0
}

// lesserStated is the smaller of two limits, of which 0 is none.
func lesserStated(a, b float64) float64 {
	if a == 0 || b == 0 {
		return a + b
	}
	return min(a, b)
}
