// Package electrical is the engineering of a photovoltaic system's wiring
// under the National Electrical Code: voltages, currents, conductors,
// overcurrent devices, grounds, interconnection, raceways and clearances.
//
// Everything is a pure function over a Code, which is one edition of the NEC
// as its tables give it; no number of the code stands here. Inputs and results
// are in base units: V, A, degC, m, m2, ohm; areas of conductors by which the
// code compares them are in circular mils, as no base unit keeps those exact.
// Each result carries what it was computed from and gives the calculation with
// numbers put in through Work, which formats only when asked.
//
// A function returns a *DomainError for an input outside what the code covers
// and a *table.MissingError where the edition's table is not known. It never
// returns NaN or infinity without an error, save where a field says so.
package electrical

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// code is the word by which the tables name the National Electrical Code.
const code = "NEC"

// Names of the tables, which are those of the section in the 2023 edition.
const (
	tableAmpacity            = "310.16"
	tableAmbient             = "310.15(B)(1)(1)"
	tableAdjustment          = "310.15(C)(1)"
	tableRooftop             = "310.15(B)(2)"
	tableInsulation          = "310.4(1)"
	tableParallel            = "310.10(G)"
	tableTerminal            = "110.14(C)"
	tableWorkingSpace        = "110.26(A)(1)"
	tableWorkingSize         = "110.26(A)"
	tableNextSize            = "240.4"
	tableSmallConductor      = "240.4(D)"
	tableStandard            = "240.6(A)"
	tableElectrode           = "250.66"
	tableElectrodeLimit      = "250.66(A)-(C)"
	tableGround              = "250.122"
	tableGroundIncrease      = "250.122(B)"
	tableDCElectrode         = "250.166"
	tableRounding            = "690.4(G)"
	tableVoltage             = "690.7"
	tableColdFactor          = "690.7(A)"
	tableCurrent             = "690.8"
	tableStringOvercurrent   = "690.9"
	tablePVAmpacity          = "690.31(A)(3)(1)"
	tablePVAmbient           = "690.31(A)(3)(2)"
	tableSupplySide          = "705.11"
	tableSupplySum           = "705.11 sum"
	tableSupplyLimiters      = "705.11 limiters"
	tableBonding             = "250.102(C)(1)"
	tableBusbar              = "705.12"
	tableBusbarScope         = "705.12 scope"
	tableFeeder              = "705.12 feeder"
	tableOutput              = "705.28"
	tableFill                = "Chapter 9 Table 1"
	tableRaceway             = "Chapter 9 Table 4"
	tableBareArea            = "Chapter 9 Table 8 bare"
	tableProperties          = "Chapter 9 Table 8"
	tableResistanceCorrected = "Chapter 9 Table 8 note"
	tableImpedance           = "Chapter 9 Table 9"
)

// Material is the metal of a conductor; the words are those of the tables.
type Material string

const (
	Copper   Material = "copper"
	Aluminum Material = "aluminum"
)

func (m Material) check() error {
	if m != Copper && m != Aluminum {
		return outside("material %q is neither copper nor aluminum", m)
	}
	return nil
}

// System is how a circuit's conductors share the current.
type System string

const (
	DC          System = "dc"
	SinglePhase System = "single-phase"
	SplitPhase  System = "split-phase" // 120/240 V, loads and sources line to line
	ThreePhase  System = "three-phase"
)

func (s System) check() error {
	switch s {
	case DC, SinglePhase, SplitPhase, ThreePhase:
		return nil
	}
	return outside("system %q is none of dc, single-phase, split-phase, three-phase", s)
}

// Code is one edition of the NEC. It is read-only and may be shared.
type Code struct {
	Edition string
	set     *table.Set
}

// NEC is the code under one edition. An edition of which no table is known is
// an error that names the known ones; of an edition known in part (2026) the
// missing tables are named by the functions that need them.
func NEC(edition string, tables *table.Set) (*Code, error) {
	known := tables.Editions(code)
	if !slices.Contains(known, edition) {
		return nil, outside("edition %q of the %s is not known%s (known: %s)", edition, code, quantity.DidYouMean(edition, known), strings.Join(known, ", "))
	}
	return &Code{Edition: edition, set: tables}, nil
}

// table gives a table of the edition, or nil where it has none.
func (c *Code) table(name string) *table.Table {
	t, err := c.set.Get(code, c.Edition, name)
	if err != nil {
		return nil
	}
	return t
}

// Value gives one named number of a table whose columns are name, value and
// unit (such as 690.12, boundary), in the base unit where it has one, with its
// place.
func (c *Code) Value(tableName, row string) (float64, table.Ref, error) {
	r := c.reader()
	t := r.table(tableName)
	if r.err != nil {
		return math.NaN(), table.Ref{}, r.err
	}
	v, ok := t.Number(row, "value")
	if !ok {
		v = r.amount(tableName, row)
	}
	return v, t.Ref(row), r.err
}

// DomainError says that an input lies outside what the code or its tables
// cover.
type DomainError struct{ Problem string }

func (e *DomainError) Error() string { return e.Problem }

func outside(format string, a ...any) error { return &DomainError{fmt.Sprintf(format, a...)} }

// Basis is the table rows that a result rests on.
type Basis struct{ Refs []table.Ref }

// Cite lists the rows in the order of their use, each once.
func (b Basis) Cite() []string {
	var list []string
	for _, r := range b.Refs {
		if s := r.String(); !slices.Contains(list, s) {
			list = append(list, s)
		}
	}
	return list
}

// Verify reports whether any row is weaker than published.
func (b Basis) Verify() bool {
	return slices.ContainsFunc(b.Refs, func(r table.Ref) bool { return r.Provenance != table.Published })
}

// reader reads cells, keeps where they stand, and keeps the first error, so
// that a calculation reads in the order of its steps. After an error every
// read gives NaN or "".
type reader struct {
	code *Code
	refs []table.Ref
	err  error
}

func (c *Code) reader() *reader { return &reader{code: c} }

func (r *reader) basis() Basis { return Basis{r.refs} }

func (r *reader) fail(err error) {
	if r.err == nil {
		r.err = err
	}
}

// table gives a table of the edition, or nil after a failure.
func (r *reader) table(name string) *table.Table {
	if r.err != nil {
		return nil
	}
	t, err := r.code.set.Get(code, r.code.Edition, name)
	if err != nil {
		r.fail(err)
		return nil
	}
	return t
}

// use keeps a row's place; nothing after a failure.
func (r *reader) use(t *table.Table, row string) {
	if t != nil {
		r.refs = append(r.refs, t.Ref(row))
	}
}

// number is a plain number of a table, and quantity one with a unit, in its
// base unit.
func (r *reader) number(name, row, column string) float64 {
	return r.cell(name, row, column, (*table.Table).Number)
}

func (r *reader) quantity(name, row, column string) float64 {
	return r.cell(name, row, column, (*table.Table).Quantity)
}

func (r *reader) cell(name, row, column string, read func(t *table.Table, row, column string) (float64, bool)) float64 {
	t := r.table(name)
	if t == nil {
		return math.NaN()
	}
	v, ok := read(t, row, column)
	if !ok {
		r.fail(outside("%s %s has no value for %s in column %s", t.Code, t.Section, row, column))
		return math.NaN()
	}
	r.use(t, row)
	return v
}

// value is the named plain number of a table with a column "value", and amount
// the named quantity, in its base unit.
func (r *reader) value(name, row string) float64  { return r.number(name, row, "value") }
func (r *reader) amount(name, row string) float64 { return r.quantity(name, row, "value") }

func (r *reader) text(name, row, column string) string {
	t := r.table(name)
	if t == nil {
		return ""
	}
	v, ok := t.Text(row, column)
	if !ok {
		r.fail(outside("%s %s has no entry for %s in column %s", t.Code, t.Section, row, column))
		return ""
	}
	return v
}

// size is a conductor size in a cell, zero where the cell is empty.
func (r *reader) size(name, row, column string) quantity.Size {
	t := r.table(name)
	if t == nil {
		return 0
	}
	text, ok := t.Text(row, column)
	if !ok || text == "" {
		return 0
	}
	s, err := quantity.ParseSize(text)
	r.failIf(err)
	r.use(t, row)
	return s
}

// failIf keeps an error that another function gave.
func (r *reader) failIf(err error) {
	if err != nil {
		r.fail(err)
	}
}

// area is the cross-section of a conductor size in m2.
func (r *reader) area(s quantity.Size) float64 {
	if !s.Known() {
		r.fail(outside("the conductor size is not known"))
		return math.NaN()
	}
	return r.quantity(tableProperties, s.Key(), "area")
}

// rounded rounds a computed voltage or current as the edition has it.
func (r *reader) rounded(x float64) float64 {
	t := r.table(tableRounding)
	if t == nil {
		return math.NaN()
	}
	step, ok := t.Number("step", "value")
	switch {
	case !ok:
		r.fail(outside("%s %s has no value for step", t.Code, t.Section))
	case step == 0:
		return x // an edition that does not round has nothing to cite
	}
	r.use(t, "step")
	return math.Floor(x/step+0.5) * step
}

// orNaN is a cell's number, NaN where the table leaves it empty.
func orNaN(v float64, ok bool) float64 {
	if !ok {
		return math.NaN()
	}
	return v
}

// need checks that a quantity is a finite number above zero.
func (r *reader) need(what string, x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) || x <= 0 {
		r.fail(outside("%s must be a number above zero, not %v", what, x))
	}
}

// needFinite checks that a quantity is a finite number.
func (r *reader) needFinite(what string, x float64) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		r.fail(outside("%s must be a finite number, not %v", what, x))
	}
}

// needCount checks that a count is one or more.
func (r *reader) needCount(what string, n int) {
	if n < 1 {
		r.fail(outside("%s must be one or more, not %d", what, n))
	}
}

// needAll checks a list of quantities and gives their sum.
func (r *reader) needAll(what string, list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		r.need(what, x)
		sum += x
	}
	return sum
}
