package arrays

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the terms below are about.
var (
	submittalKind    = terms.KindFor[job.Job]()
	arrayKind        = terms.KindFor[job.Array]()
	moduleTypeKind   = terms.KindFor[job.ModuleType]()
	mountingTypeKind = terms.KindFor[job.MountingType]()
	fastenerTypeKind = terms.KindFor[job.FastenerType]()
	planeKind        = terms.KindFor[job.Plane]()
	framingKind      = terms.KindFor[job.Framing]()
	buildingKind     = terms.KindFor[job.Building]()
)
