package circuits

import (
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

func defineSubmittal() {
	watt := measured(quantity.Power)

	derive("submittal", "module_count", count, "modules in all arrays", "geometry", "",
		func(c *Call, j *job.Job) any {
			n := 0
			for i := range j.Arrays {
				n += Of[int](c, c.Subject("array", &j.Arrays[i]), "module_count")
			}
			return n
		})
	derive("submittal", "wired_modules", count, "modules in all strings and on all microinverters", "the job", "",
		func(c *Call, j *job.Job) any {
			n := 0
			for i := range j.Strings {
				n += Of[int](c, c.Subject("string", &j.Strings[i]), "module_count")
				c.Drive(j.Strings[i].Modules.At)
			}
			for i := range j.Inverters {
				s := c.Subject("inverter", &j.Inverters[i])
				if Of[bool](c, s, "is_micro") {
					n += Of[int](c, s, "module_count")
					c.Drive(j.Inverters[i].Count.At)
				}
			}
			c.line("modules in strings and on microinverters: %d", n)
			return n
		})
	derive("submittal", "string_count", count, "strings", "the job", "",
		func(c *Call, j *job.Job) any { return len(j.Strings) })
	derive("submittal", "inverter_count", count, "inverters, each microinverter counted", "the job", "",
		func(c *Call, j *job.Job) any {
			n := 0
			for i := range j.Inverters {
				n += Of[int](c, c.Subject("inverter", &j.Inverters[i]), "unit_count")
			}
			return n
		})
	derive("submittal", "has_strings", flag, "whether modules are in strings on direct current", "the job", "",
		func(c *Call, j *job.Job) any { return len(j.Strings) > 0 || hasDC(j) })
	derive("submittal", "has_micros", flag, "whether it has microinverters", "the job", "",
		func(c *Call, j *job.Job) any {
			for i := range j.Inverters {
				if Of[bool](c, c.Subject("inverter", &j.Inverters[i]), "is_micro") {
					return true
				}
			}
			return false
		})
	derive("submittal", "micro_count", count, "microinverters", "the job", "",
		func(c *Call, j *job.Job) any {
			n := 0
			for i := range j.Inverters {
				if s := c.Subject("inverter", &j.Inverters[i]); Of[bool](c, s, "is_micro") {
					n += Of[int](c, s, "unit_count")
				}
			}
			return n
		})
	derive("submittal", "branch_units", count, "microinverters on all branch circuits", "the job", "",
		func(c *Call, j *job.Job) any {
			n := 0
			for i := range j.Circuits {
				if x := &j.Circuits[i]; x.Kind.Value == "branch" {
					n += Get(c, x.Units)
					c.Drive(x.Units.At)
				}
			}
			return n
		})
	derive("submittal", "has_engineered_voltage", flag, "whether an engineer's calculation of the DC voltage is relied on", "NEC 690.7(A)(3)", "",
		func(c *Call, j *job.Job) any {
			c.Drive(j.Stated.DCVoltage.At)
			return j.Stated.DCVoltage.Known
		})
	derive("submittal", "largest_module_voltage", measured(quantity.Voltage), "largest open-circuit voltage in the cold of any module in use", "NEC 690.7(A)", "cold-voltage",
		func(c *Call, j *job.Job) any {
			most := 0.0
			for i := range j.Arrays {
				Get(c, j.Arrays[i].Module)
				if t, ok := j.ModuleOf(&j.Arrays[i]); ok {
					most = max(most, Of[float64](c, c.Subject("module_type", t), "cold_voltage"))
				}
			}
			return most
		})
	derive("array", "wired_modules", count, "its modules in strings and on microinverters", "the job", "",
		func(c *Call, a *job.Array) any {
			n := 0
			for i := range c.m.Job.Strings {
				s := &c.m.Job.Strings[i]
				if Get(c, s.Array) == a.Name.Value {
					n += Of[int](c, c.Subject("string", s), "module_count")
					c.Drive(s.Modules.At)
				}
			}
			for i := range c.m.Job.Inverters {
				v := &c.m.Job.Inverters[i]
				s := c.Subject("inverter", v)
				if Of[bool](c, s, "is_micro") && Get(c, v.Array) == a.Name.Value {
					n += Of[int](c, s, "module_count")
					c.Drive(v.Count.At)
				}
			}
			c.line("modules of %s in strings and on microinverters: %d", a.Name.Value, n)
			return n
		})
	derive("submittal", "on_building", flag, "whether an array stands on a roof", "the job", "",
		func(c *Call, j *job.Job) any {
			for i := range j.Arrays {
				if p, ok := j.PlaneOf(&j.Arrays[i]); !ok || !p.Ground.Value {
					return true
				}
			}
			return false
		})
	derive("submittal", "dc_power", watt, "rated power of all modules", "the job", "",
		func(c *Call, j *job.Job) any {
			sum := 0.0
			for i := range j.Arrays {
				a := &j.Arrays[i]
				Get(c, a.Module)
				n := Of[int](c, c.Subject("array", a), "module_count")
				if t, ok := j.ModuleOf(a); ok {
					sum += float64(n) * c.Q(t.Power)
				}
			}
			return sum
		})
	derive("submittal", "ac_power", watt, "rated continuous output of all inverters", "the job", "",
		func(c *Call, j *job.Job) any {
			sum := 0.0
			for i := range j.Inverters {
				sum += Of[float64](c, c.Subject("inverter", &j.Inverters[i]), "ac_power")
			}
			return sum
		})
	derive("submittal", "maximum_voltage", measured(quantity.Voltage), "largest direct-current voltage of any string", "NEC 690.7", "cold-voltage",
		func(c *Call, j *job.Job) any {
			var list []*job.String
			for i := range j.Strings {
				list = append(list, &j.Strings[i])
			}
			if len(list) == 0 {
				return c.Fail("the job has no string")
			}
			return c.highest(list)
		})
}

func hasDC(j *job.Job) bool {
	for i := range j.Circuits {
		if isDC(&j.Circuits[i]) {
			return true
		}
	}
	return false
}
