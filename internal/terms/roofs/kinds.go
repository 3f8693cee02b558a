package roofs

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the terms below are about.
var (
	submittalKind   = terms.KindFor[job.Job]()
	arrayKind       = terms.KindFor[job.Array]()
	buildingKind    = terms.KindFor[job.Building]()
	obstructionKind = terms.KindFor[job.Obstruction]()
	planeKind       = terms.KindFor[job.Plane]()
)
