package papers

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the terms below are about.
var (
	statedKind = terms.KindFor[job.Stated]()
)
