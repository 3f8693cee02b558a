// Package papers is the vocabulary of the papers of a submittal.
package papers

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(statedKind, "given", terms.YesNo, "whether any value is quoted from a structural letter or calculation", "the job", "", func(c *terms.Call, s *job.Stated) bool {
	return terms.AnyStated(c, s, "stated.coverage", "stated.dc_current", "stated.dc_voltage") // of the roof plan and of electrical calculations
})

var _ = terms.DeriveTwin(documentKind)

var _ = terms.DeriveTwin(labelKind)

var _ = terms.Derive(documentKind, "file_sum", terms.Word, "the SHA-256 of the file of the document", "the file", "", func(c *terms.Call, d *job.Document) string {
	terms.Get(c, d.File)
	if d.Paper == nil {
		return ""
	}
	return d.Paper.Sum
})
