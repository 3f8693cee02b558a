package papers

import (
	"reflect"

	"plumbrule/internal/job"
)

// defineDocuments adds what the papers of a submittal are held against: which
// equipment is used, and totals over all arrays.
func defineDocuments() {
	derive("module_type", "used", flag, "whether an array is made of it", "the job", "", func(c *Call, t *job.ModuleType) any {
		return c.anyNames(t.Name.Value, eachOf(c.m.Job.Arrays, func(a *job.Array) job.Text { return a.Module }))
	})
	derive("mounting_type", "used", flag, "whether an array stands on it", "the job", "", func(c *Call, t *job.MountingType) any {
		return c.anyNames(t.Name.Value, eachOf(c.m.Job.Arrays, func(a *job.Array) job.Text { return a.Mounting }))
	})
	derive("inverter_type", "used", flag, "whether an inverter is of this type", "the job", "", func(c *Call, t *job.InverterType) any {
		return c.anyNames(t.Name.Value, eachOf(c.m.Job.Inverters, func(i *job.Inverter) job.Text { return i.Type }))
	})
	derive("converter_type", "used", flag, "whether a string has converters of this type", "the job", "", func(c *Call, t *job.ConverterType) any {
		for i := range c.m.Job.Strings {
			if s := &c.m.Job.Strings[i]; s.Converter.Known && s.Converter.Value == t.Name.Value { // left out: none
				return true
			}
		}
		return false
	})
	derive("stated", "given", flag, "whether any value is quoted from a letter or calculation", "the job", "", func(c *Call, s *job.Stated) any {
		fields := reflect.ValueOf(*s)
		for i := range fields.NumField() {
			if known := fields.Field(i).FieldByName("Known"); known.IsValid() && known.Bool() {
				return true
			}
		}
		return false
	})
}

// eachOf reads one reference of every thing of a list.
func eachOf[T any](list []T, f func(*T) job.Text) []job.Text {
	out := make([]job.Text, len(list))
	for i := range list {
		out[i] = f(&list[i])
	}
	return out
}

// anyNames tells whether one of the references names a thing. Where none does
// and some are left out, it is not known.
func (c *Call) anyNames(name string, refs []job.Text) any {
	for _, r := range refs {
		if r.Known && r.Value == name {
			return true
		}
	}
	for _, r := range refs {
		Get(c, r)
	}
	return false
}
