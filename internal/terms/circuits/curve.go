package circuits

import (
	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// Curve is the open-circuit voltage of modules in series, volts, at two cell
// temperatures, degrees C. It is a straight line between and beyond them.
type Curve struct {
	Standard, StandardAt float64 // at standard test conditions (IEC 60904-3)
	Cold, ColdAt         float64 // at the record low, by the rule of the adopted edition
}

// At is the voltage at a cell temperature.
func (v *Curve) At(celsius float64) float64 {
	return v.Standard + (v.Cold-v.Standard)*(celsius-v.StandardAt)/(v.ColdAt-v.StandardAt)
}

const standardCells = 25 // degC

// curve sums like modules in series. It is nil where the coefficient of a
// module is not stated: the table of the code gives no line.
func curve(c *terms.Call, list []part) *Curve {
	out := &Curve{StandardAt: standardCells, ColdAt: c.Q(c.Job().Site.RecordLow)}
	var series []electrical.Series
	for _, p := range list {
		c.Q(p.t.VocCoefficient)
		out.Standard += float64(p.n) * c.Q(p.t.Voc)
		series = append(series, alike(c, p.t, p.n))
	}
	if c.Stop() || len(list) == 0 || out.ColdAt == out.StandardAt {
		return nil
	}
	v, err := nec(c).ColdVoltage(series...)
	if err != nil {
		c.Err(err)
		return nil
	}
	out.Cold = v.Voltage
	return out
}

var stringCurve = terms.Analyse(stringKind, "voltage over temperature", func(c *terms.Call, s *job.String) *Curve {
	if terms.Stated(c, s.Converter) {
		return nil // converters hold the string at a voltage of their own
	}
	return curve(c, parts(c, s))
})

var microCurve = terms.Analyse(inverterKind, "voltage over temperature", func(c *terms.Call, i *job.Inverter) *Curve {
	t := moduleBehind(c, i)
	if !inverterIsMicro.Of(c, i) || t == nil {
		return nil
	}
	return curve(c, []part{{t: t, n: 1}})
})

// StringCurve is the voltage of a string over temperature; nil where it is not
// known, or is that of converters.
func StringCurve(m *terms.Model, s *job.String) *Curve { return known(stringCurve.Known(m, s)) }

// MicroCurve is the voltage of a module on a microinverter; nil where it is not
// known, or for other inverters.
func MicroCurve(m *terms.Model, i *job.Inverter) *Curve { return known(microCurve.Known(m, i)) }

func known(v *Curve, needs []terms.Need) *Curve {
	if len(needs) > 0 {
		return nil
	}
	return v
}

// Operating is the voltage at maximum power of modules in series, volts, at two
// cell temperatures, degrees C; a straight line between and beyond them.
type Operating struct {
	Standard, StandardAt float64 // at standard test conditions
	Hot, HotAt           float64 // on a hot day, with the cells above the air
}

// At is the voltage at a cell temperature.
func (v *Operating) At(celsius float64) float64 {
	return v.Standard + (v.Hot-v.Standard)*(celsius-v.StandardAt)/(v.HotAt-v.StandardAt)
}

var stringOperating = terms.Analyse(stringKind, "operating voltage over temperature", func(c *terms.Call, s *job.String) *Operating {
	if terms.Stated(c, s.Converter) {
		return nil
	}
	out := &Operating{StandardAt: standardCells}
	for _, p := range parts(c, s) {
		h, ok := hotPart(c, s, p)
		if !ok || c.Stop() {
			return nil
		}
		out.Standard += float64(p.n) * h.Vmp
		out.Hot += h.Voltage
		out.HotAt = h.CellTemperature
	}
	if out.HotAt == out.StandardAt {
		return nil
	}
	return out
})

// StringOperating is the voltage at maximum power of a string over temperature;
// nil where it is not known, or is that of converters.
func StringOperating(m *terms.Model, s *job.String) *Operating {
	v, needs := stringOperating.Known(m, s)
	if len(needs) > 0 {
		return nil
	}
	return v
}
