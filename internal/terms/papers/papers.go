// Package papers is the vocabulary of the papers of a submittal.
package papers

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(statedKind, "given", terms.YesNo, "whether any value is quoted from a letter or calculation", "the job", "", func(c *terms.Call, s *job.Stated) bool {
	return terms.AnyStated(c, s)
})

var _ = terms.DeriveTwin(documentKind)

var _ = terms.DeriveTwin(labelKind)
