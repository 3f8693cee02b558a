package survey

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the terms below are about.
var arrayKind = terms.KindFor[job.Array]()
