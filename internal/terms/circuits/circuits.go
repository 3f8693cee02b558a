package circuits

import (
	"fmt"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// defineElectrical adds what the electrical engineering computes from a job:
// strings and the direct current they drive first, then what stands on them.
func defineElectrical() {
	defineModuleTypes()
	defineStrings()
	defineInverters()
	defineCircuits()
	defineDevices()
	defineGrounding()
	defineInterconnection()
	defineSubmittal()
}

// engine is one edition of the NEC for the engineering package, or why it is
// not there.
type engine struct {
	code *electrical.Code
	err  error
}

// nec gives the adopted edition; nil when it is not stated or not known, and
// then the call stops.
func (c *Call) nec() *electrical.Code {
	edition := Get(c, c.m.Job.Adoption.NEC)
	if edition == "" {
		return nil
	}
	e := shared(c.m, "nec", func() engine {
		code, err := electrical.NEC(edition, c.m.Tables)
		return engine{code, err}
	})
	if e.err != nil {
		c.Err(e.err)
		return nil
	}
	return e.code
}

// named reads a number that the adopted edition names in one of its tables.
func (c *Call) named(tableName, row string) float64 {
	code := c.nec()
	if code == nil {
		return 0
	}
	v, ref, err := code.Value(tableName, row)
	if err != nil {
		c.Err(err)
		return 0
	}
	c.out.Refs = append(c.out.Refs, ref)
	return v.SI
}

// practice reads a number of common practice from its table.
func (c *Call) practice(tableName, row, column string) float64 {
	t, err := c.m.Tables.Get("Practice", "common", tableName)
	if err != nil {
		c.Err(err)
		return 0
	}
	v, ok := t.Number(row, column)
	if !ok {
		c.Fail("the table %s has no %s for %s", tableName, column, row)
	}
	c.out.Refs = append(c.out.Refs, t.Ref(row))
	return v
}

// worked is a result of the engineering package.
type worked interface {
	Work(quantity.System) []string
}

// took takes over the calculation of a result, or its error; it reports
// whether there is a result.
func (c *Call) took(w worked, refs []table.Ref, err error) bool {
	if err != nil {
		c.Err(err)
		return false
	}
	c.Explain(w.Work, refs)
	return true
}

// line explains a result by one line of text.
func (c *Call) line(format string, a ...any) {
	c.Explain(func(quantity.System) []string { return []string{fmt.Sprintf(format, a...)} }, nil)
}

func defineModuleTypes() {
	derive("module_type", "cold_voltage", measured(quantity.Voltage), "open-circuit voltage of one module at the record low", "NEC 690.7(A)", "cold-voltage",
		func(c *Call, t *job.ModuleType) any {
			series := c.series(t, 1)
			if c.Stop() {
				return nil
			}
			v, err := c.nec().ColdVoltage(series)
			if !c.took(v, v.Refs, err) {
				return nil
			}
			c.Drive(t.Voc.At)
			return v.Voltage
		})
	derive("module_type", "mounted_short_circuit", measured(quantity.Current), "short-circuit current with the gain from the rear as mounted", "NEC 690.8(A)", "",
		func(c *Call, t *job.ModuleType) any {
			isc, gain := c.Q(t.Isc), c.Q(t.RearGain)
			c.Drive(t.Isc.At)
			return isc * (1 + gain)
		})
}

// coldFactor is the factor of 690.7(A) for a module type: by the maker's
// coefficient, and without one by the table, which is for crystalline silicon.
func (c *Call) coldFactor(t *job.ModuleType) electrical.ColdFactor {
	code, low := c.nec(), c.Q(c.m.Job.Site.RecordLow)
	byTable := !t.VocCoefficient.Known && t.Crystalline.Known && t.Crystalline.Value
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
		f, err = code.ColdByCoefficient(low, t.VocCoefficient.Value.SI)
	}
	if err != nil {
		c.Err(err)
	}
	return f
}

// series is like modules within a string.
func (c *Call) series(t *job.ModuleType, n int) electrical.Series {
	return electrical.Series{Voc: c.Q(t.Voc), Modules: n, Factor: c.coldFactor(t)}
}
