package circuits

import (
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// The kinds of the job file that the terms below are about.
var (
	arrayKind           = terms.KindFor[job.Array]()
	circuitKind         = terms.KindFor[job.Circuit]()
	combinerKind        = terms.KindFor[job.Combiner]()
	converterTypeKind   = terms.KindFor[job.ConverterType]()
	disconnectKind      = terms.KindFor[job.Disconnect]()
	groundingKind       = terms.KindFor[job.Grounding]()
	interconnectionKind = terms.KindFor[job.Interconnection]()
	inverterKind        = terms.KindFor[job.Inverter]()
	inverterTypeKind    = terms.KindFor[job.InverterType]()
	moduleTypeKind      = terms.KindFor[job.ModuleType]()
	overcurrentKind     = terms.KindFor[job.Overcurrent]()
	panelKind           = terms.KindFor[job.Panel]()
	planeKind           = terms.KindFor[job.Plane]()
	rapidShutdownKind   = terms.KindFor[job.RapidShutdown]()
	stringKind          = terms.KindFor[job.String]()
	submittalKind       = terms.KindFor[job.Job]()
)
