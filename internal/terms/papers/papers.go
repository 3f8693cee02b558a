package papers

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(moduleTypeKind, "used", terms.YesNo, "whether an array is made of it", "the job", "", func(c *terms.Call, t *job.ModuleType) bool {
	return anyNames(c, t.Name.Value, eachOf(c.Job().Arrays, func(a *job.Array) job.Text { return a.Module }))
})

var _ = terms.Derive(mountingTypeKind, "used", terms.YesNo, "whether an array stands on it", "the job", "", func(c *terms.Call, t *job.MountingType) bool {
	return anyNames(c, t.Name.Value, eachOf(c.Job().Arrays, func(a *job.Array) job.Text { return a.Mounting }))
})

var _ = terms.Derive(inverterTypeKind, "used", terms.YesNo, "whether an inverter is of this type", "the job", "", func(c *terms.Call, t *job.InverterType) bool {
	return anyNames(c, t.Name.Value, eachOf(c.Job().Inverters, func(i *job.Inverter) job.Text { return i.Type }))
})

var _ = terms.Derive(converterTypeKind, "used", terms.YesNo, "whether a string has converters of this type", "the job", "", func(c *terms.Call, t *job.ConverterType) bool {
	for i := range c.Job().Strings {
		if s := &c.Job().Strings[i]; terms.Stated(c, s.Converter) && terms.Peek(c, s.Converter) == t.Name.Value { // left out: none
			return true
		}
	}
	return false
})

var _ = terms.Derive(statedKind, "given", terms.YesNo, "whether any value is quoted from a letter or calculation", "the job", "", func(c *terms.Call, s *job.Stated) bool {
	return terms.AnyStated(c, s)
})

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
func anyNames(c *terms.Call, name string, refs []job.Text) bool {
	for _, r := range refs {
		if terms.Stated(c, r) && terms.Peek(c, r) == name {
			return true
		}
	}
	for _, r := range refs {
		terms.Get(c, r)
	}
	return false
}
