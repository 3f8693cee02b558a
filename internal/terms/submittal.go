package terms

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
