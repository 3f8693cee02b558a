package papers

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the terms below are about.
var (
	converterTypeKind = terms.KindFor[job.ConverterType]()
	inverterTypeKind  = terms.KindFor[job.InverterType]()
	moduleTypeKind    = terms.KindFor[job.ModuleType]()
	mountingTypeKind  = terms.KindFor[job.MountingType]()
	statedKind        = terms.KindFor[job.Stated]()
)
