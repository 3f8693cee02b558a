package circuits

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
	"plumbrule/internal/terms/arrays"
)

var _ = terms.Derive(submittalKind, "wired_modules", terms.WholeNumber, "modules in all strings and on all microinverters", "the job", "",
	func(c *terms.Call, j *job.Job) int {
		n := 0
		for i := range j.Strings {
			n += stringModuleCount.Of(c, &j.Strings[i])
			terms.Drive(c, j.Strings[i].Modules)
		}
		for i := range j.Inverters {
			s := &j.Inverters[i]
			if inverterIsMicro.Of(c, s) {
				n += inverterModuleCount.Of(c, s)
				terms.Drive(c, j.Inverters[i].Count)
			}
		}
		line(c, "modules in strings and on microinverters: %d", n)
		return n
	})

var _ = terms.Derive(submittalKind, "has_strings", terms.YesNo, "whether modules are in strings on direct current", "the job", "",
	func(c *terms.Call, j *job.Job) bool { return len(j.Strings) > 0 || hasDC(c, j) })

var _ = terms.Derive(submittalKind, "largest_module_voltage", terms.Quantity(quantity.Voltage), "largest open-circuit voltage in the cold of any module in use", "NEC 690.7(A)", "cold-voltage",
	func(c *terms.Call, j *job.Job) float64 {
		most := 0.0
		for i := range j.Arrays {
			terms.Get(c, j.Arrays[i].Module)
			if t, ok := terms.Seek(c, moduleTypeKind, j.Arrays[i].Module); ok {
				most = max(most, moduleTypeColdVoltage.Of(c, t))
			}
		}
		return most
	})

var _ = terms.Derive(arrayKind, "wired_modules", terms.WholeNumber, "its modules in strings and on microinverters", "the job", "",
	func(c *terms.Call, a *job.Array) int {
		n := 0
		for i := range c.Job().Strings {
			s := &c.Job().Strings[i]
			if m := modulesFrom(c, s, a); m > 0 {
				n += m
				terms.Drive(c, s.Modules)
			}
		}
		for i := range c.Job().Inverters {
			v := &c.Job().Inverters[i]
			s := v
			if inverterIsMicro.Of(c, s) && terms.Get(c, v.Array) == a.Name.Value {
				n += inverterModuleCount.Of(c, s)
				terms.Drive(c, v.Count)
			}
		}
		line(c, "modules of %s in strings and on microinverters: %d", a.Name.Value, n)
		return n
	})

var submittalOnBuilding = terms.Derive(submittalKind, "on_building", terms.YesNo, "whether an array stands on a roof", "the job", "",
	func(c *terms.Call, j *job.Job) bool {
		for i := range j.Arrays {
			if p, ok := terms.Seek(c, planeKind, j.Arrays[i].Plane); !ok || !terms.Peek(c, p.Ground) {
				return true
			}
		}
		return false
	})

var _ = terms.Derive(submittalKind, "dc_power", terms.Quantity(quantity.Power), "rated power of all modules", "the job", "",
	func(c *terms.Call, j *job.Job) float64 {
		sum := 0.0
		for i := range j.Arrays {
			a := &j.Arrays[i]
			terms.Get(c, a.Module)
			n := arrays.ArrayModuleCount.Of(c, a)
			if t, ok := terms.Seek(c, moduleTypeKind, a.Module); ok {
				sum += float64(n) * c.Q(t.Power)
			}
		}
		return sum
	})

var submittalAcPower = terms.Derive(submittalKind, "ac_power", terms.Quantity(quantity.Power), "rated continuous output of all inverters", "the job", "",
	func(c *terms.Call, j *job.Job) float64 {
		sum := 0.0
		for i := range j.Inverters {
			sum += inverterAcPower.Of(c, &j.Inverters[i])
		}
		return sum
	})

var _ = terms.Derive(submittalKind, "maximum_voltage", terms.Quantity(quantity.Voltage), "largest direct-current voltage of any string", "NEC 690.7", "cold-voltage",
	func(c *terms.Call, j *job.Job) float64 {
		var list []*job.String
		for i := range j.Strings {
			list = append(list, &j.Strings[i])
		}
		if len(list) == 0 {
			c.Fail("the job has no string")
			return 0
		}
		return highest(c, list)
	})

func hasDC(c *terms.Call, j *job.Job) bool {
	for i := range j.Circuits {
		if isDC(c, &j.Circuits[i]) {
			return true
		}
	}
	return false
}
