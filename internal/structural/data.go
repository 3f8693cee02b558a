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

// factor reads one row of a table of factors (columns value and unit): a plain
// number, or a quantity in its base unit.
func (s *source) factor(t *table.Table, key string) float64 { return s.cell(t, key, "value") }

// cell reads one number of a table.
func (s *source) cell(t *table.Table, key, column string) float64 {
	v, ok := number(t, key, column)
	if !ok {
		s.fault(t, key, "no value in column "+column)
		return math.NaN()
	}
	return v
}

// number reads a cell that is a plain number in one table and a quantity, then
// in its base unit, in another.
func number(t *table.Table, key, column string) (float64, bool) {
	if v, ok := t.Number(key, column); ok {
		return v, true
	}
	return t.Quantity(key, column)
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
