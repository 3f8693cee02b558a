package papers

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the terms below are about.
var (
	documentKind = terms.KindFor[job.Document]()
	labelKind    = terms.KindFor[job.Label]()
	statedKind   = terms.KindFor[job.Stated]()
)
