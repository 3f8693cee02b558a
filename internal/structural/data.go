package structural

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// ScopeError says that a prescriptive method does not reach a case, with
// every reason. The case is outside the method, not forbidden.
type ScopeError struct {
	Method  string
	Reasons []string
}

func (e *ScopeError) Error() string {
	return "outside the prescriptive scope of " + e.Method + ": " + strings.Join(e.Reasons, "; ")
}

// units gives the base unit value of the units that code tables are written
// in. A factor counted in a multiple of a dimension of the building (h, a,
// Lp, h2, D) is a plain number.
var units = map[string]float64{
	"": 1, "h": 1, "a": 1, "Lp": 1, "h2": 1, "D": 1,
	"deg": 1, "degC": 1, "1/K": 1,
	"ft": quantity.Foot, "in": quantity.Inch, "ft2": quantity.SquareFoot,
	"1/ft": 1 / quantity.Foot, "1/in": 1 / quantity.Inch, "ft/deg": quantity.Foot,
	"psf": quantity.PSF, "psi": quantity.PSI, "ksi": quantity.KSI, "lb": quantity.PoundForce,
	"pcf":      quantity.PoundForce / (quantity.Foot * quantity.Foot * quantity.Foot),
	"psf/mph2": quantity.PSF / (quantity.MPH * quantity.MPH),
	"lb/in":    quantity.PoundPerInch,
}

// source reads the tables of one code and edition and keeps every fault, so
// that a builder reads all it needs and looks at the faults once.
type source struct {
	set           *table.Set
	code, edition string
	errs          []error
}

func (s *source) table(name string) *table.Table {
	t, err := s.set.Get(s.code, s.edition, name)
	if err != nil {
		s.errs = append(s.errs, err)
		return &table.Table{Code: s.code, Name: name, Edition: s.edition}
	}
	return t
}

func (s *source) fault(t *table.Table, key, what string) {
	s.errs = append(s.errs, fmt.Errorf("table %s %s %s, row %q: %s", t.Code, t.Edition, t.Name, key, what))
}

// factor reads one row of a table of factors (columns value and unit).
func (s *source) factor(t *table.Table, key string) float64 {
	v, ok := t.Number(key, "value")
	u, _ := t.Text(key, "unit")
	size, known := units[u]
	if !ok || !known {
		s.fault(t, key, "no value, or a unit that is not known")
		return math.NaN()
	}
	return v * size
}

// cell reads one number of a table whose columns have units.
func (s *source) cell(t *table.Table, key, column string) float64 {
	v, ok := t.Number(key, column)
	if !ok {
		s.fault(t, key, "no value in column "+column)
		return math.NaN()
	}
	return v * columnUnit(t, column)
}

// columnUnit is the size of the unit of a column in the base unit.
func columnUnit(t *table.Table, column string) float64 {
	for i, c := range t.Columns {
		if c == column {
			return units[t.Units[i]]
		}
	}
	return math.NaN()
}

func (s *source) err() error { return errors.Join(s.errs...) }

// positive reports the first of the named values that is not a finite number
// above zero.
func positive(named ...any) error {
	for i := 0; i+1 < len(named); i += 2 {
		if v := named[i+1].(float64); !(v > 0) || math.IsInf(v, 0) {
			return fmt.Errorf("%s must be above zero", named[i])
		}
	}
	return nil
}

// notNegative reports the first of the named values that is not a finite
// number, zero or more.
func notNegative(named ...any) error {
	for i := 0; i+1 < len(named); i += 2 {
		if v := named[i+1].(float64); !(v >= 0) || math.IsInf(v, 0) {
			return fmt.Errorf("%s must be zero or more", named[i])
		}
	}
	return nil
}

// within reports a value outside [low, high].
func within(name string, v, low, high float64) error {
	if !(v >= low && v <= high) {
		return fmt.Errorf("%s %.4g is outside %.4g to %.4g", name, v, low, high)
	}
	return nil
}

// epsilon is the relative slack in a demand's favour when it meets a limit.
const epsilon = 1e-9

// Meets reports whether a demand is within a limit.
func Meets(demand, limit float64) bool { return demand <= limit+epsilon*math.Abs(limit) }

// show prints a computed value in the units of the reader.
func show(sys quantity.System, si float64, d quantity.Dimension) string {
	return quantity.Of(si, d).Format(sys)
}
