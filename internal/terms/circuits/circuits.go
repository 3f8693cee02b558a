// Package circuits is the vocabulary of the electrical system: modules in series,
// inverters, circuits, devices, grounding and the interconnection. Package
// electrical computes it.
package circuits

import (
	"fmt"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
)

// codeInForce is the adopted edition of the NEC as the engineering package has
// it.
var codeInForce = terms.Analyse(submittalKind, "adopted edition of the NEC", func(c *terms.Call, j *job.Job) *electrical.Code {
	edition := terms.Get(c, j.Adoption.NEC)
	if c.Stop() {
		return nil
	}
	code, err := electrical.NEC(edition, c.Tables())
	if err != nil {
		c.Err(err)
	}
	return code
})

// nec gives the adopted edition; nil when it is not stated or not known, and
// then the call stops.
func nec(c *terms.Call) *electrical.Code {
	code := codeInForce.Of(c, c.Job())
	if c.Stop() {
		return nil
	}
	return code
}

// named reads a number that the adopted edition names in one of its tables.
func named(c *terms.Call, tableName, row string) float64 {
	code := nec(c)
	if code == nil {
		return 0
	}
	v, ref, err := code.Value(tableName, row)
	if err != nil {
		c.Err(err)
		return 0
	}
	c.Cite(ref)
	return v
}

// worked is a result of the engineering package.
type worked interface {
	Work(quantity.System) []string
}

// took takes over the calculation of a result, or its error; it reports
// whether there is a result.
func took(c *terms.Call, w worked, refs []table.Ref, err error) bool {
	if err != nil {
		c.Err(err)
		return false
	}
	c.Explain(w.Work, refs)
	return true
}

// line explains a result by one line of text.
func line(c *terms.Call, format string, a ...any) {
	c.Explain(func(quantity.System) []string { return []string{fmt.Sprintf(format, a...)} }, nil)
}

var moduleTypeColdVoltage = terms.Derive(moduleTypeKind, "cold_voltage", terms.Quantity(quantity.Voltage), "open-circuit voltage of one module at the record low", "NEC 690.7(A)", "cold-voltage",
	func(c *terms.Call, t *job.ModuleType) float64 {
		series := alike(c, t, 1)
		if c.Stop() {
			return 0
		}
		v, err := nec(c).ColdVoltage(series)
		if !took(c, v, v.Refs, err) {
			return 0
		}
		terms.Drive(c, t.Voc)
		return v.Voltage
	})

var moduleTypeMountedShortCircuit = terms.Derive(moduleTypeKind, "mounted_short_circuit", terms.Quantity(quantity.Current), "short-circuit current with the gain from the rear as mounted", "NEC 690.8(A)", "",
	func(c *terms.Call, t *job.ModuleType) float64 {
		isc, gain := c.Q(t.Isc), c.Q(t.RearGain)
		terms.Drive(c, t.Isc)
		return isc * (1 + gain)
	})

// coldFactor is the factor of 690.7(A) for a module type: by the maker's
// coefficient, and without one by the table, which is for crystalline silicon.
func coldFactor(c *terms.Call, t *job.ModuleType) electrical.ColdFactor {
	code, low := nec(c), c.Q(c.Job().Site.RecordLow)
	byTable := !terms.Stated(c, t.VocCoefficient) && terms.Stated(c, t.Crystalline) && terms.Peek(c, t.Crystalline)
	if !byTable {
		c.Q(t.VocCoefficient)
	}
	if c.Stop() {
		return electrical.ColdFactor{}
	}
	var f electrical.ColdFactor
	var err error
	if byTable {
		f, err = code.ColdByTable(low)
	} else {
		f, err = code.ColdByCoefficient(low, terms.Peek(c, t.VocCoefficient).SI)
	}
	if err != nil {
		c.Err(err)
	}
	return f
}

// alike is like modules within a string.
func alike(c *terms.Call, t *job.ModuleType, n int) electrical.Series {
	return electrical.Series{Voc: c.Q(t.Voc), Modules: n, Factor: coldFactor(c, t)}
}
