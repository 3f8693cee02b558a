package plan

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the drawing is about.
var arrayKind = terms.KindFor[job.Array]()
