// Package papers is the vocabulary of the papers of a submittal.
package papers

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

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
