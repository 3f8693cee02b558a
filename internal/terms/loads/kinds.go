package loads

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the terms below are about.
var (
	adoptionKind     = terms.KindFor[job.Adoption]()
	arrayKind        = terms.KindFor[job.Array]()
	buildingKind     = terms.KindFor[job.Building]()
	documentKind     = terms.KindFor[job.Document]()
	engineeredKind   = terms.KindFor[job.Engineered]()
	fastenerTypeKind = terms.KindFor[job.FastenerType]()
	moduleTypeKind   = terms.KindFor[job.ModuleType]()
	mountingTypeKind = terms.KindFor[job.MountingType]()
	planeKind        = terms.KindFor[job.Plane]()
	siteKind         = terms.KindFor[job.Site]()
	statedKind       = terms.KindFor[job.Stated]()
	submittalKind    = terms.KindFor[job.Job]()
)
