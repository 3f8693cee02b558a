package job

import (
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Job is one submittal as its file gives it: trade words, base units, and for
// every value whether it was given. It is the single description of the job
// file: the decoder, the JSON Schema, the key list and the vocabulary of given
// values are all read from these types and their tags.
type Job struct {
	Project         Project         `key:"project" doc:"who and where"`
	Adoption        Adoption        `key:"adoption" doc:"the code editions in force at the address"`
	Site            Site            `key:"site" doc:"climate and ground"`
	Building        Building        `key:"building" doc:"the building that carries the array"`
	Planes          []Plane         `key:"plane" doc:"roof planes, as on a roof plan"`
	Obstructions    []Obstruction   `key:"obstruction" doc:"what stands in a roof plane"`
	Streets         []Street        `key:"street" doc:"streets and driveways beside the building"`
	ModuleTypes     []ModuleType    `key:"module_type" doc:"photovoltaic modules by type"`
	InverterTypes   []InverterType  `key:"inverter_type" doc:"inverters by type"`
	ConverterTypes  []ConverterType `key:"converter_type" doc:"DC-to-DC converters by type"`
	MountingTypes   []MountingType  `key:"mounting_type" doc:"mounting systems by type"`
	FastenerTypes   []FastenerType  `key:"fastener_type" doc:"fasteners by type"`
	Arrays          []Array         `key:"array" doc:"groups of modules on one plane in one grid"`
	Strings         []String        `key:"string" doc:"modules in series"`
	Inverters       []Inverter      `key:"inverter" doc:"inverters as installed"`
	Combiners       []Combiner      `key:"combiner" doc:"boxes in which strings are put in parallel"`
	Circuits        []Circuit       `key:"circuit" doc:"conductors from one place to another"`
	Overcurrents    []Overcurrent   `key:"overcurrent" doc:"fuses and circuit breakers"`
	Disconnects     []Disconnect    `key:"disconnect" doc:"disconnecting means"`
	Panels          []Panel         `key:"panel" doc:"panels beside the service's own: sub-panels, and panels that gather inverters"`
	Transformers    []Transformer   `key:"transformer" doc:"transformers between inverters and the service"`
	Service         Service         `key:"service" doc:"the electrical service of the building"`
	Interconnection Interconnection `key:"interconnection" doc:"where the system meets the premises wiring"`
	RapidShutdown   RapidShutdown   `key:"rapid_shutdown" doc:"rapid shutdown of the array circuits"`
	Grounding       Grounding       `key:"grounding" doc:"grounding and bonding"`
	Labels          []Label         `key:"label" doc:"labels and placards on the label sheet"`
	Documents       []Document      `key:"document" doc:"papers in the submittal"`
	OneLine         OneLine         `key:"one_line" doc:"what the one-line diagram states"`
	Stated          Stated          `key:"stated" doc:"values quoted from a letter or calculation in the submittal"`
	Engineered      []Engineered    `key:"engineered" doc:"results of an engineer's sealed calculations in the submittal, each for what it covers"`
	AsBuilt         AsBuilt         `key:"as_built" doc:"surveyed attachment points"`
	Deviations      []Deviation     `key:"deviation" doc:"deviations that the applicant says the authority has accepted"`

	Files []*source.File // every file read: the job, its includes, its CSV files

	claims []Claim // of editions that its authority decides; see Under

	units quantity.System           // the system most values are written in
	shelf *shelf                    // what its folders of equipment hold
	named map[string]map[string]int // the entries of each list of the job, by their names

	stated *values // by their keys, once somebody asked

	// Likes is where entries took by like what they do not state.
	Likes Likes

	// Sections is where each section ("site", "service") is opened; a section
	// that the job leaves out has no entry.
	Sections map[string]source.Span
}

// SectionAt is the place of a section: where it is opened, or the start of the
// job file when the job leaves it out.
func (j *Job) SectionAt(key string) source.Span {
	if at, ok := j.Sections[key]; ok {
		return at
	}
	if len(j.Files) > 0 {
		return j.Files[0].Start()
	}
	return source.Span{}
}

// Project identifies the submittal.
type Project struct {
	Name        Text `key:"name" required:"yes" doc:"name of the job"`
	Address     Text `key:"address" doc:"site address"`
	Authority   Text `key:"authority" doc:"authority having jurisdiction"`
	Owner       Text `key:"owner" doc:"owner of the building"`
	Designer    Text `key:"designer" doc:"who drew the submittal"`
	Contractor  Text `key:"contractor" doc:"who builds it"`
	Licence     Text `key:"licence" doc:"contractor's licence number"`
	Permit      Text `key:"permit" doc:"permit or application number"`
	Revision    Text `key:"revision" doc:"revision of the drawings"`
	Date        Text `key:"date" doc:"date of the drawings"`
	Scope       Text `key:"scope" doc:"scope of work in a sentence"`
	Units       Text `key:"units" choice:"US|SI" absent:"the system that most values are written in" doc:"system of units that reports print in"`
	ExistingPV  Flag `key:"existing_pv" doc:"whether another array already stands at the address"`
	Storage     Flag `key:"storage" doc:"whether the system includes energy storage"`
	Resubmittal Flag `key:"resubmittal" doc:"whether it answers an earlier plan review"`
	SimpleRoute Flag `key:"simple_route" default:"false" absent:"it asks for none" doc:"whether it asks for the simple structural route, without a calculation of the roof"`
}

// Adoption holds the editions in force.
type Adoption struct {
	NEC             Text `key:"nec" choice:"2014|2017|2020|2023|2026" doc:"edition of NFPA 70"`
	IFC             Text `key:"ifc" choice:"2012|2015|2018|2021|2024" doc:"edition of the International Fire Code"`
	NFPA1           Text `key:"nfpa1" choice:"2015|2018|2021|2024" absent:"not adopted" doc:"edition of NFPA 1, where it is the fire code instead of the IFC"`
	IRC             Text `key:"irc" choice:"2012|2015|2018|2021|2024" doc:"edition of the International Residential Code"`
	IBC             Text `key:"ibc" choice:"2012|2015|2018|2021|2024" doc:"edition of the International Building Code"`
	ASCE7           Text `key:"asce7" choice:"7-10|7-16|7-22" absent:"of a building under the IRC, the one that it refers to" doc:"edition of ASCE/SEI 7"`
	NDS             Text `key:"nds" choice:"2015|2018|2024" absent:"of a building under the IRC, the one that it refers to" doc:"edition of the National Design Specification for Wood Construction"`
	S100            Text `key:"s100" choice:"2016|2020" absent:"of a building under the IRC, the one that it refers to" doc:"edition of AISI S100"`
	LocalFireWaiver Text `key:"local_fire_waiver" absent:"none" doc:"written decision of the fire official that roof access rules do not apply, by its number"`
	ProductApproval Flag `key:"product_approval" default:"false" absent:"none is asked for" doc:"whether the state or the authority asks for a product approval or certification of the mounting"`
	DwellingRules   Text `key:"dwelling_access_accepted" absent:"none" doc:"written decision of the fire official that a building other than a dwelling follows the roof access rules for dwellings, by its number"`
}

// Site is the climate and the ground.
type Site struct {
	RecordLow         Quantity `key:"record_low" dim:"temperature" min:"-70" max:"30" doc:"lowest expected ambient temperature"`
	RecordLowSource   Text     `key:"record_low_source" doc:"where the record low comes from"`
	DesignHigh        Quantity `key:"design_high" dim:"temperature" min:"-20" max:"60" doc:"design high ambient temperature (2 % monthly design dry bulb)"`
	DesignHighSource  Text     `key:"design_high_source" doc:"where the design high comes from"`
	WindSpeed         Quantity `key:"wind_speed" dim:"speed" positive:"yes" min:"20" max:"140" doc:"basic wind speed for the risk category, 3-second gust"`
	WindSpeedSource   Text     `key:"wind_speed_source" doc:"where the wind speed comes from"`
	Exposure          Text     `key:"exposure" choice:"B|C|D" doc:"wind exposure category"`
	RiskCategory      Text     `key:"risk_category" choice:"I|II|III|IV" absent:"II, of a dwelling" doc:"risk category of the building"`
	Elevation         Quantity `key:"elevation" dim:"length" signed:"yes" min:"-500" max:"9000" absent:"assumed to be none, where the wind presses most" doc:"ground elevation above sea level"`
	TopographicFactor Number   `key:"topographic_factor" positive:"yes" min:"0.1" max:"5" doc:"topographic factor Kzt"`
	TopographicSource Text     `key:"topographic_source" doc:"where Kzt comes from"`
	GroundSnow        Quantity `key:"ground_snow" dim:"pressure" max:"40000" doc:"ground snow load of the adopted ASCE 7 edition"`
	GroundSnowEdition Text     `key:"ground_snow_edition" choice:"7-10|7-16|7-22" doc:"ASCE 7 edition that the ground snow load belongs to"`
	SnowExposure      Number   `key:"snow_exposure_factor" positive:"yes" min:"0.6" max:"1.3" absent:"assumed to be the largest of the table" doc:"snow exposure factor Ce"`
	SnowThermal       Number   `key:"snow_thermal_factor" positive:"yes" min:"0.8" max:"1.4" absent:"assumed to be that of an unheated building" doc:"snow thermal factor Ct"`
	WinterWind        Number   `key:"winter_wind" positive:"yes" min:"0.1" max:"0.9" absent:"0.65, the largest outside Alaska" doc:"winter wind parameter W2 of the place (ASCE 7-22)"`
	SDS               Number   `key:"sds" max:"5" doc:"design spectral acceleration at short periods SDS, in g"`
	ComponentImport   Number   `key:"component_importance" positive:"yes" min:"1" max:"1.5" absent:"1, and 1.5 in risk category IV" doc:"component importance factor Ip of the array"`
	ComponentCAR      Number   `key:"component_resonance" positive:"yes" min:"1" max:"4" absent:"1, that of other electrical components" doc:"component resonance ductility factor CAR (ASCE 7-22)"`
	ComponentStrength Number   `key:"component_strength" positive:"yes" min:"1" max:"3" absent:"1.5, that of other electrical components" doc:"component strength factor Rpo (ASCE 7-22)"`
	StreetBearing     Quantity `key:"street_bearing" dim:"angle" min:"-360" max:"360" doc:"bearing from the building to the street or driveway, clockwise from north"`
	FaultCurrent      Quantity `key:"fault_current" dim:"current" positive:"yes" min:"100" max:"300000" doc:"available fault current at the service"`
}

// Building carries the array.
type Building struct {
	Occupancy         Text     `key:"occupancy" doc:"occupancy group, such as R-3 or U"`
	Dwelling          Flag     `key:"dwelling" doc:"whether it is a one- or two-family dwelling or townhouse"`
	DesignedUnder     Text     `key:"designed_under" choice:"IRC|IBC" absent:"the IRC, of a dwelling where the IRC is adopted" doc:"code that the building was designed under"`
	DetachedAccessory Flag     `key:"detached_accessory" absent:"no, of a dwelling" doc:"whether it is a detached, non-habitable accessory structure"`
	Sprinklered       Flag     `key:"sprinklered" doc:"whether it has an automatic sprinkler system throughout"`
	SprinklerProof    Text     `key:"sprinkler_proof" doc:"document that proves the sprinkler system"`
	MeanRoofHeight    Quantity `key:"mean_roof_height" dim:"length" positive:"yes" absent:"that of the roof as drawn" doc:"mean roof height h"`
	EaveHeight        Quantity `key:"eave_height" dim:"length" absent:"that of the roof as drawn" doc:"height of the lowest eave above the ground"`
	Length            Quantity `key:"length" dim:"length" positive:"yes" absent:"that of the roof as drawn" doc:"longer plan dimension"`
	Width             Quantity `key:"width" dim:"length" positive:"yes" absent:"that of the roof as drawn" doc:"shorter plan dimension"`
	RoofShape         Text     `key:"roof_shape" choice:"flat|gable|hip|monoslope" absent:"that of the roof as drawn, where it is one of these" doc:"shape of the roof for wind"`
	ParapetHeight     Quantity `key:"parapet_height" dim:"length" max:"10" absent:"none, of a pitched roof on which none is drawn" doc:"height of the parapet above the roof"`
	LotLineDistance   Quantity `key:"lot_line_distance" dim:"length" max:"10000" doc:"least distance of the building to a lot line"`
	RoofClass         Text     `key:"roof_class" choice:"A|B|C|none" doc:"fire class that the roof assembly must have"`
	RoofLayers        Count    `key:"roof_layers" min:"1" max:"20" doc:"layers of roof covering"`
	RoofDeadLoad      Quantity `key:"roof_dead_load" dim:"pressure" min:"10" max:"15000" doc:"dead load of the existing roof on the slope"`
	RoofLiveLoad      Quantity `key:"roof_live_load" dim:"pressure" min:"100" max:"25000" doc:"roof live load of the existing design"`
	DesignSnow        Quantity `key:"design_snow" dim:"pressure" max:"40000" absent:"the roof snow load of today" doc:"roof snow load that the existing roof was designed for, on the plan, allowable level"`
	AddedLateral      Quantity `key:"added_lateral" dim:"ratio" max:"1" absent:"none" doc:"share by which earlier additions and alterations have raised the lateral demand since it was built"`
	Stories           Count    `key:"stories" min:"1" max:"200" doc:"stories above the ground"`
	SmokeVents        Text     `key:"smoke_vents" choice:"none|gravity|powered" doc:"smoke and heat vents in the roof"`
	Enclosure         Text     `key:"enclosure" choice:"enclosed|partially-enclosed|open" doc:"enclosure class of the building for wind"`
	PVOnly            Flag     `key:"pv_only" default:"false" absent:"it serves other ends too" doc:"whether it only houses photovoltaic equipment"`
	FedFromOther      Flag     `key:"fed_from_other" absent:"yes where it is a detached accessory structure, else no" doc:"whether the service stands at another building, from which a feeder or branch circuit supplies this one"`
	GroundElectrode   Flag     `key:"grounding_electrode" doc:"whether the submittal shows a grounding electrode at this building, where it is supplied from another"`
	FeederDisconnect  Flag     `key:"feeder_disconnect" doc:"whether a disconnect for the supply from the other building stands at the nearest point to where its conductors enter this one"`
	NeutralBonded     Flag     `key:"neutral_bonded" doc:"whether the neutral of that supply is bonded to ground at this building too"`
}

// Plane is a roof plane as a roof plan shows it.
type Plane struct {
	Entity
	Outline            Points   `key:"outline" doc:"corners in plan view, x to the east, y to the north"`
	Holes              []Hole   `key:"hole" doc:"openings in the plane, where a dormer, a court or another roof stands through it"`
	Edges              []Edge   `key:"edge" doc:"kinds of edges that the drawing alone does not tell"`
	Slope              Quantity `key:"slope" dim:"angle" min:"0" max:"85" doc:"slope of the plane"`
	Downslope          Quantity `key:"downslope" dim:"angle" min:"-360" max:"360" doc:"bearing of the downslope direction, clockwise from north"`
	EaveElevation      Quantity `key:"eave_elevation" dim:"length" signed:"yes" doc:"height of the lowest point of the plane above the ground beside the building"`
	Covering           Covering `key:"covering" doc:"what lies on the plane"`
	Framing            Framing  `key:"framing" doc:"what carries the plane"`
	BelowEscapeOpening Flag     `key:"below_escape_opening" doc:"whether an emergency escape and rescue opening stands above this plane"`
	WeakEdge           Quantity `key:"weak_edge" dim:"length" max:"10" doc:"width of unreinforced overhang along the lowest edge"`
	WeakRake           Quantity `key:"weak_rake" dim:"length" max:"10" doc:"width of unreinforced overhang along the rakes"`
	BrushFree          Quantity `key:"brush_free" dim:"length" doc:"width around an array on open ground that is kept clear of brush"`
	Ground             Flag     `key:"ground" default:"false" absent:"a roof" doc:"whether it is open ground that carries an array"`
}

// Hole is an opening in a plane.
type Hole struct {
	Outline Points `key:"outline" doc:"corners in plan view, x to the east, y to the north"`
}

// Edge is what one edge of a plane is, said by hand.
type Edge struct {
	Number Count `key:"number" min:"1" required:"yes" doc:"edge of the outline, from its corner of that number to the next; those of the holes are counted on"`
	Kind   Text  `key:"kind" choice:"eave|ridge|high-eave|rake|hip|valley|break|step|wall|parapet" required:"yes" doc:"what the edge is"`
}

// Covering is the roofing of a plane.
type Covering struct {
	Kind      Text     `key:"kind" choice:"corrugated|trapezoidal|standing-seam|shingle|tile|membrane|metal-shingle" doc:"kind of covering"`
	Thickness Quantity `key:"thickness" dim:"length" positive:"yes" min:"0.0002" max:"0.01" doc:"base metal thickness of a sheet"`
	Tensile   Quantity `key:"tensile" dim:"pressure" positive:"yes" min:"100000000" max:"2000000000" doc:"tensile strength Fu of a sheet"`
	RibPitch  Quantity `key:"rib_pitch" dim:"length" min:"0.01" max:"10" doc:"distance between rib crests"`
	RibOffset Quantity `key:"rib_offset" dim:"length" signed:"yes" min:"-100" max:"100" doc:"distance of the first rib crest from the left end of the lowest edge"`
	RibHeight Quantity `key:"rib_height" dim:"length" max:"0.3" min:"0.001" doc:"height of a rib"`
	RibTop    Quantity `key:"rib_top" dim:"length" positive:"yes" max:"1" absent:"a quarter inch either side of its middle counts as the crest" doc:"flat width of the crest of a rib"`
	RibBase   Quantity `key:"rib_base" dim:"length" positive:"yes" max:"1" min:"0.001" doc:"width of a rib, or of a seam, where it leaves the pan"`
	Sheathing Quantity `key:"sheathing" dim:"length" max:"0.3" doc:"thickness of the structural deck below the covering"`
	Profile   Text     `key:"profile" doc:"maker's name of the profile of a metal roof, as test reports give it"`
	ClipPitch Quantity `key:"clip_spacing" dim:"length" positive:"yes" min:"0.05" max:"10" doc:"distance, along a seam, between the clips of a standing-seam panel; along a rib, between the screws that hold another sheet down"`
	ClipHolds Quantity `key:"clip_uplift" dim:"force" positive:"yes" max:"20000" doc:"allowable uplift of one clip of a standing-seam panel with its fasteners, or of one screw of another sheet, pull-over included"`
	Floats    Flag     `key:"floating" doc:"whether its panels move on their clips for heat, fixed at one place only"`
	FixedAt   Quantity `key:"fixed_point" dim:"force" positive:"yes" max:"200000" doc:"allowable load along the seam of the place where a floating panel is fixed"`
	Yield     Quantity `key:"yield" dim:"pressure" positive:"yes" min:"50000000" max:"2000000000" doc:"yield strength Fy of a sheet"`
	Slippery  Flag     `key:"slippery" doc:"whether snow slides off it (metal, glass, smooth membrane)"`
}

// Framing is the set of members under a plane.
type Framing struct {
	Member    Text     `key:"member" choice:"purlin|rafter|truss|batten|deck" doc:"what the members are"`
	Runs      Text     `key:"runs" choice:"along-eave|up-slope" doc:"direction of the members on the plane"`
	Spacing   Quantity `key:"spacing" dim:"length" min:"0.01" max:"100" doc:"spacing of members, centre to centre, measured on the surface"`
	Offset    Quantity `key:"offset" dim:"length" signed:"yes" min:"-100" max:"100" doc:"distance of the first member's centre from the lowest edge (along-eave) or the left end (up-slope)"`
	Positions Lengths  `key:"positions" doc:"centres of the members one by one, instead of spacing and offset"`
	Width     Quantity `key:"width" dim:"length" positive:"yes" min:"0.01" max:"1" doc:"width of the face or flange that takes fasteners"`
	Depth     Quantity `key:"depth" dim:"length" positive:"yes" min:"0.005" max:"3" doc:"depth of a member"`
	Span      Quantity `key:"span" dim:"length" positive:"yes" min:"0.6" max:"60" doc:"clear span of a member, measured horizontally"`
	Material  Text     `key:"material" choice:"wood|steel" doc:"material of the members"`
	Thickness Quantity `key:"thickness" dim:"length" positive:"yes" min:"0.0003" max:"0.05" doc:"base metal thickness of a steel member"`
	Tensile   Quantity `key:"tensile" dim:"pressure" positive:"yes" min:"100000000" max:"2000000000" doc:"tensile strength Fu of a steel member"`
	Species   Text     `key:"species" doc:"species combination of a wood member"`
	Grade     Text     `key:"grade" doc:"grade of a wood member"`
	Gravity   Number   `key:"specific_gravity" positive:"yes" absent:"that of its species" doc:"specific gravity G of a wood member"`
	Yield     Quantity `key:"yield" dim:"pressure" positive:"yes" min:"100000000" max:"2000000000" doc:"yield strength Fy of a steel member"`
	Moment    Quantity `key:"allowable_moment" dim:"torque" positive:"yes" doc:"allowable bending moment of one member by its maker's table, compression flange held by the sheet or deck"`
	MomentUp  Quantity `key:"allowable_moment_uplift" dim:"torque" positive:"yes" doc:"allowable bending moment of one member under net uplift by its maker's table, with the bracing that it has"`
	Shear     Quantity `key:"allowable_shear" dim:"force" positive:"yes" doc:"allowable shear of one member by its maker's table"`
	Supports  Lengths  `key:"supports" absent:"wherever they would be worst" doc:"places of the supports along a member, from the same end as its feet are measured"`
	Continues Flag     `key:"continuous" default:"false" absent:"each span stands by itself" doc:"whether the members run, or are lapped, over their supports"`
	Braced    Quantity `key:"braced" dim:"length" positive:"yes" min:"0.05" max:"30" absent:"nothing holds it between its supports" doc:"largest distance between places where the lower edge of a wood member is held sideways, as by blocking, a ceiling or collar ties"`
	OneSpan   Flag     `key:"ridge_to_eave" doc:"whether its members are simply supported and prismatic and span from ridge to eave"`
	Bends     Quantity `key:"bending_value" dim:"pressure" positive:"yes" absent:"by species, grade and size" doc:"reference bending design value Fb of a wood member, before any factor"`
	EndUplift Quantity `key:"end_uplift" dim:"force" positive:"yes" max:"200000" doc:"allowable uplift of the connection at one end of a member"`
	Wet       Flag     `key:"wet" absent:"assumed to be wet" doc:"whether the wood is wet in service or when fastened"`
}

// Obstruction is anything in a roof plane that modules and crews go around.
// Its place is measured on the surface, x along the lowest edge from its left
// end seen looking up the slope, y up the slope.
type Obstruction struct {
	Entity
	Plane      Text     `key:"plane" ref:"plane" required:"yes" doc:"plane it stands in"`
	Kind       Text     `key:"kind" choice:"vent|skylight|chimney|hatch|access-hatch|ventilation-hatch|flue|unit|conduit|escape-opening|smoke-vent|standpipe|drain|dormer|cricket" doc:"what it is"`
	At         PointAt  `key:"at" doc:"its centre on the surface of the plane"`
	Width      Quantity `key:"width" dim:"length" positive:"yes" min:"0.005" doc:"its size along the lowest edge"`
	Height     Quantity `key:"height" dim:"length" positive:"yes" min:"0.005" doc:"its size up the slope"`
	Diameter   Quantity `key:"diameter" dim:"length" positive:"yes" min:"0.005" absent:"not round, so that width and height hold" doc:"its diameter where it is round"`
	Turn       Quantity `key:"turn" dim:"angle" min:"-360" max:"360" default:"0 deg" absent:"square to the plane" doc:"rotation on the surface, anticlockwise"`
	Outline    Points   `key:"outline" absent:"by its centre and size" doc:"its corners on the surface of the plane, instead of centre and size"`
	Opens      Text     `key:"opens" choice:"gravity|powered" absent:"as building.smoke_vents says" doc:"how a smoke vent opens"`
	InWall     Flag     `key:"in_wall" default:"false" absent:"it stands in the roof" doc:"whether it is an opening in the wall that rises from the plane at this place"`
	Clearance  Quantity `key:"clearance" dim:"length" doc:"service clearance it asks for all around"`
	Rise       Quantity `key:"rise" dim:"length" doc:"height of its top above the roof"`
	WalkedOver Flag     `key:"walked_over" default:"false" doc:"whether a crew can walk over it"`
	Guarded    Flag     `key:"guarded" doc:"whether a cover, screen or rail keeps people from falling through it, while the array is built and when it is served"`
}

// Street is a street or driveway from which a crew comes.
type Street struct {
	Entity
	Kind    Text     `key:"kind" choice:"street|driveway|alley" doc:"what it is"`
	Bearing Quantity `key:"bearing" dim:"angle" min:"-360" max:"360" doc:"bearing from the building to it, clockwise from north"`
	Line    Points   `key:"line" absent:"not drawn" doc:"its near edge in plan view, x to the east, y to the north"`
}

// ModuleType is a photovoltaic module by its datasheet.
type ModuleType struct {
	Entity
	Power            Quantity `key:"power" dim:"power" positive:"yes" min:"5" max:"1500" doc:"rated power at standard test conditions"`
	Voc              Quantity `key:"voc" dim:"voltage" positive:"yes" min:"1" max:"400" doc:"open-circuit voltage at standard test conditions"`
	Vmp              Quantity `key:"vmp" dim:"voltage" positive:"yes" min:"1" max:"350" doc:"voltage at maximum power"`
	Isc              Quantity `key:"isc" dim:"current" positive:"yes" min:"0.1" max:"50" doc:"short-circuit current"`
	Imp              Quantity `key:"imp" dim:"current" positive:"yes" min:"0.1" max:"50" doc:"current at maximum power"`
	VocCoefficient   Quantity `key:"voc_coefficient" dim:"ratio per temperature" rated:"voc" negative:"yes" min:"-0.01" max:"-0.0005" absent:"by the table of the NEC, where crystalline is true" doc:"temperature coefficient of the open-circuit voltage: relative, or in V/degC"`
	VmpCoefficient   Quantity `key:"vmp_coefficient" dim:"ratio per temperature" rated:"vmp" negative:"yes" min:"-0.01" max:"-0.0005" doc:"temperature coefficient of the voltage at maximum power (or of power): relative, or in V/degC"`
	RearGain         Quantity `key:"rear_gain" dim:"ratio" max:"0.5" doc:"current gain from the rear of a bifacial module as mounted"`
	MaximumFuse      Quantity `key:"maximum_series_fuse" dim:"current" positive:"yes" min:"1" max:"100" doc:"maximum series fuse rating"`
	MaximumVoltage   Quantity `key:"maximum_system_voltage" dim:"voltage" positive:"yes" min:"30" max:"2000" doc:"maximum system voltage"`
	Length           Quantity `key:"length" dim:"length" positive:"yes" max:"10" min:"0.1" doc:"long side of the frame"`
	Width            Quantity `key:"width" dim:"length" positive:"yes" max:"10" min:"0.1" doc:"short side of the frame"`
	Thickness        Quantity `key:"thickness" dim:"length" positive:"yes" min:"0.001" max:"0.2" doc:"height of the frame"`
	Weight           Quantity `key:"weight" dim:"mass" positive:"yes" min:"0.5" max:"200" doc:"weight of one module"`
	ClampLongFrom    Quantity `key:"clamp_long_from" dim:"length" max:"10" doc:"least distance from the corner at which the maker lets a clamp hold the long side"`
	ClampLongTo      Quantity `key:"clamp_long_to" dim:"length" positive:"yes" max:"10" doc:"greatest distance from the corner at which the maker lets a clamp hold the long side"`
	ClampShortFrom   Quantity `key:"clamp_short_from" dim:"length" max:"10" doc:"least distance from the corner at which the maker lets a clamp hold the short side"`
	ClampShortTo     Quantity `key:"clamp_short_to" dim:"length" positive:"yes" max:"10" doc:"greatest distance from the corner at which the maker lets a clamp hold the short side"`
	FireType         Text     `key:"fire_type" doc:"fire type of the module, such as 1 or 2"`
	UpliftRating     Quantity `key:"uplift_rating" dim:"pressure" positive:"yes" min:"100" max:"30000" doc:"design load the module is rated for in uplift, for the clamps used"`
	DownRating       Quantity `key:"down_rating" dim:"pressure" positive:"yes" min:"100" max:"30000" doc:"design load the module is rated for downward, for the clamps used"`
	TestUplift       Quantity `key:"test_uplift" dim:"pressure" positive:"yes" min:"100" max:"30000" doc:"test load in uplift (design load times the test factor)"`
	Listed           Text     `key:"listed" doc:"standard it is listed to"`
	Connector        Text     `key:"connector" doc:"connector type"`
	ConnectorVoltage Quantity `key:"connector_voltage" dim:"voltage" positive:"yes" min:"30" max:"2000" doc:"voltage rating of the connector"`
	Crystalline      Flag     `key:"crystalline" doc:"whether its cells are mono- or multicrystalline silicon"`
}

// InverterType is an inverter by its datasheet. A microinverter is an
// inverter type with modules_each.
type InverterType struct {
	Entity
	Kind                Text     `key:"kind" choice:"string|micro|converter" doc:"string inverter, microinverter, or inverter fed by DC-to-DC converters"`
	MaximumInputVoltage Quantity `key:"maximum_input_voltage" dim:"voltage" positive:"yes" min:"10" max:"2000" doc:"maximum DC input voltage"`
	StartVoltage        Quantity `key:"start_voltage" dim:"voltage" positive:"yes" min:"5" max:"2000" doc:"lowest DC voltage it starts at"`
	TrackLow            Quantity `key:"mppt_low" dim:"voltage" positive:"yes" min:"5" max:"2000" doc:"low end of the maximum power point window"`
	TrackHigh           Quantity `key:"mppt_high" dim:"voltage" positive:"yes" min:"5" max:"2000" doc:"high end of the maximum power point window"`
	Inputs              Count    `key:"inputs" min:"1" max:"200" doc:"independent DC inputs"`
	StringsEach         Count    `key:"strings_each" min:"1" max:"100" doc:"strings that each DC input can take"`
	MaximumInputCurrent Quantity `key:"maximum_input_current" dim:"current" positive:"yes" min:"0.5" max:"5000" doc:"maximum operating current of each DC input"`
	MaximumShortCircuit Quantity `key:"maximum_short_circuit" dim:"current" positive:"yes" min:"0.5" max:"10000" doc:"maximum short-circuit current of each DC input"`
	ModulesEach         Count    `key:"modules_each" min:"1" max:"12" doc:"modules on each microinverter"`
	Output              Quantity `key:"output" dim:"power" positive:"yes" min:"50" max:"5000000" doc:"rated continuous AC output"`
	OutputCurrent       Quantity `key:"output_current" dim:"current" positive:"yes" min:"0.1" max:"6000" doc:"maximum continuous AC output current"`
	OutputVoltage       Quantity `key:"output_voltage" dim:"voltage" positive:"yes" min:"100" max:"1000" doc:"nominal AC output voltage"`
	System              Text     `key:"system" choice:"single-phase|split-phase|three-phase" doc:"AC system it feeds"`
	MaximumOvercurrent  Quantity `key:"maximum_overcurrent" dim:"current" positive:"yes" min:"1" max:"6000" doc:"largest AC overcurrent device its maker allows"`
	MaximumBranch       Count    `key:"maximum_branch" min:"1" max:"200" doc:"most microinverters its maker allows on one branch circuit"`
	MaximumDCPower      Quantity `key:"maximum_dc_power" dim:"power" positive:"yes" min:"50" max:"10000000" doc:"largest array power its maker allows"`
	Listed              Text     `key:"listed" doc:"standard it is listed to"`
	UtilityInteractive  Flag     `key:"utility_interactive" doc:"whether it is listed as utility interactive"`
	ArcFault            Flag     `key:"arc_fault" doc:"whether it has listed DC arc-fault protection"`
	GroundFault         Flag     `key:"ground_fault" doc:"whether it has listed ground-fault protection"`
	RapidShutdown       Flag     `key:"rapid_shutdown" doc:"whether it is part of a listed rapid shutdown system"`
	Connector           Text     `key:"connector" doc:"connector type at the input of a microinverter"`
	Frequency           Number   `key:"frequency" positive:"yes" absent:"not said, which matters only where that of the service is not the usual one" doc:"nominal frequency of its output, in hertz"`
	DCGrounding         Text     `key:"dc_grounding" choice:"functionally-grounded|ungrounded|solidly-grounded" absent:"not solidly grounded, as nearly all are" doc:"how its DC side is joined to ground"`
	TerminalTorque      Quantity `key:"terminal_torque" dim:"torque" positive:"yes" min:"0.2" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of the screws of its AC and DC terminals"`
}

// ConverterType is a DC-to-DC converter by its datasheet.
type ConverterType struct {
	Entity
	MaximumInputVoltage  Quantity `key:"maximum_input_voltage" dim:"voltage" positive:"yes" min:"5" max:"2000" doc:"maximum DC input voltage"`
	MinimumInputVoltage  Quantity `key:"minimum_input_voltage" dim:"voltage" positive:"yes" min:"1" max:"2000" doc:"least DC input voltage at which it works"`
	MaximumShortCircuit  Quantity `key:"maximum_short_circuit" dim:"current" positive:"yes" min:"0.5" max:"200" doc:"maximum short-circuit current of the module it takes"`
	MaximumOutputVoltage Quantity `key:"maximum_output_voltage" dim:"voltage" positive:"yes" min:"5" max:"2000" doc:"maximum output voltage of one converter"`
	StringVoltage        Quantity `key:"string_voltage" dim:"voltage" positive:"yes" min:"30" max:"2000" doc:"voltage that the listed system holds the string at"`
	MaximumOutputCurrent Quantity `key:"maximum_output_current" dim:"current" positive:"yes" min:"0.5" max:"200" doc:"maximum output current"`
	MaximumOvercurrent   Quantity `key:"maximum_overcurrent" dim:"current" positive:"yes" min:"1" max:"200" absent:"not said, which matters only where strings of converters are in parallel or fused" doc:"largest overcurrent device that the maker allows at its output"`
	MinimumString        Count    `key:"minimum_string" min:"1" max:"100" doc:"fewest converters in one string"`
	MaximumString        Count    `key:"maximum_string" min:"1" max:"200" doc:"most converters in one string"`
	MaximumStringPower   Quantity `key:"maximum_string_power" dim:"power" positive:"yes" min:"100" max:"1000000" doc:"largest power of one string"`
	ShutdownVoltage      Quantity `key:"shutdown_voltage" dim:"voltage" positive:"yes" min:"0.1" max:"600" doc:"output voltage of one converter after shutdown"`
	Connector            Text     `key:"connector" doc:"connector type at its input"`
	Listed               Text     `key:"listed" doc:"standard it is listed to"`
	ArcFault             Flag     `key:"arc_fault" default:"false" doc:"whether it has listed DC arc-fault protection"`
}

// MountingType is a mounting system by its maker's letter.
type MountingType struct {
	Entity
	Kind               Text       `key:"kind" choice:"rail|rail-less|clamp|ballast" doc:"how modules are carried"`
	Weight             Quantity   `key:"weight" dim:"pressure" max:"2000" doc:"weight of the mounting per area"`
	MaximumSpan        Quantity   `key:"maximum_span" dim:"length" positive:"yes" min:"0.05" max:"10" doc:"largest distance between attachments where no zone limit is given"`
	ZoneSpans          []ZoneSpan `key:"zone_span" doc:"largest distance between attachments by roof zone"`
	MaximumCantilever  Quantity   `key:"maximum_cantilever" dim:"length" max:"5" doc:"largest overhang past the last attachment"`
	CantileverShare    Quantity   `key:"cantilever_share" dim:"ratio" max:"1" doc:"largest overhang as a share of the span beside it"`
	AttachmentUplift   Quantity   `key:"attachment_uplift" dim:"force" positive:"yes" max:"50000" doc:"allowable uplift of one attachment by the maker's test"`
	AttachmentDown     Quantity   `key:"attachment_down" dim:"force" positive:"yes" max:"50000" doc:"allowable downward load of one attachment by the maker's test"`
	AttachmentLateral  Quantity   `key:"attachment_lateral" dim:"force" positive:"yes" max:"50000" doc:"allowable down-slope load of one attachment by the maker's test"`
	ClampUplift        Quantity   `key:"clamp_uplift" dim:"force" positive:"yes" max:"20000" doc:"allowable uplift of one module clamp by the maker's test"`
	ClampAlong         Quantity   `key:"clamp_downslope" dim:"force" positive:"yes" max:"20000" doc:"allowable load along the slope of one module clamp by the maker's test"`
	AttachmentAcross   Quantity   `key:"attachment_across" dim:"force" positive:"yes" max:"50000" absent:"as along the slope" doc:"allowable load of one attachment across the slope by the maker's test"`
	SpanUplift         Quantity   `key:"span_uplift" dim:"pressure" positive:"yes" max:"20000" doc:"net uplift pressure, allowable level, up to which the maker's largest spans hold"`
	SpanDown           Quantity   `key:"span_down" dim:"pressure" positive:"yes" max:"20000" doc:"downward pressure, allowable level, up to which the maker's largest spans hold"`
	ModuleGap          Quantity   `key:"module_gap" dim:"length" max:"1" doc:"gap between modules that the maker asks for"`
	ModuleGapTolerance Quantity   `key:"module_gap_tolerance" dim:"length" max:"0.1" doc:"tolerance of that gap"`
	ThermalBreak       Quantity   `key:"thermal_break" dim:"length" positive:"yes" min:"1" max:"300" doc:"longest row or rail without a thermal break"`
	Material           Text       `key:"material" choice:"aluminum|steel|stainless" doc:"what its long parts are made of"`
	FireTypes          Texts      `key:"fire_types" doc:"module fire types in its system fire rating"`
	FireClass          Text       `key:"fire_class" choice:"A|B|C" doc:"system fire class"`
	FireSlope          Text       `key:"fire_slope" choice:"steep|low|any" doc:"roof slopes its fire class was tested for"`
	FireStandoff       Quantity   `key:"fire_standoff" dim:"length" max:"3" doc:"largest height above the roof in its fire rating"`
	FireSkirt          Flag       `key:"fire_skirt" doc:"whether its fire rating asks for a skirt"`
	Listed             Text       `key:"listed" doc:"standard it is listed to"`
	BondingListed      Flag       `key:"bonding_listed" absent:"it is where its bonding listing names modules" doc:"whether it is listed as the bonding path for the modules used"`
	BondingModules     Texts      `key:"bonding_modules" ref:"module_type" doc:"module types in its bonding listing"`
	BondsAcross        Text       `key:"bonds_across" choice:"rows|both|rails" doc:"which neighbours its listed parts bond: along rows, both ways, or through rails"`
	ModuleRemoval      Flag       `key:"module_removal" doc:"whether its listing lets a module be taken out without breaking the bond of others"`
	AdjustUp           Quantity   `key:"adjust_up" dim:"length" max:"1" doc:"levelling range of an attachment"`
	Seam               Quantity   `key:"seam" dim:"length" max:"0.5" doc:"width of a seam part between modules"`
	FeetEnd            Count      `key:"feet_end_module" min:"1" max:"100" doc:"attachments an end module needs"`
	ProductApproval    Text       `key:"product_approval" doc:"number of its product approval or state certification"`
	FixedTo            Text       `key:"fixed_to" choice:"framing|sheet|seam" absent:"seams for seam clamps, framing for everything else" doc:"what its feet are fixed to: the framing below, the sheet alone, or the seams of a standing-seam roof"`
	MinimumSheet       Quantity   `key:"minimum_sheet" dim:"length" positive:"yes" min:"0.0002" max:"0.01" absent:"not said, which matters only where its feet are fixed to the sheet" doc:"thinnest sheet, base metal, that its feet may be fixed to"`
	MinimumFasteners   Count      `key:"minimum_fasteners" min:"1" max:"20" absent:"not said, which matters only where its feet are fixed to the sheet, or stand on one metal screw each" doc:"fasteners in each foot that its maker asks for at least"`
	Eccentric          Flag       `key:"eccentric" absent:"either: half of the pull-over is a bound to verify" doc:"whether the load on a foot stands beside its fasteners and pries at them, as on an L-shaped foot with screws on one side"`
	FastenerPlace      Text       `key:"fastener_place" choice:"crest|pan|any" default:"crest" absent:"the crest, as is common practice" doc:"where on a ribbed sheet its maker wants the fasteners"`
	RailLength         Quantity   `key:"rail_length" dim:"length" positive:"yes" min:"0.5" max:"20" doc:"longest piece of rail that is delivered"`
	SpliceFrom         Quantity   `key:"splice_from" dim:"length" max:"10" doc:"least distance of the middle of a splice from the foot next to it, 0 in where one may stand at a foot"`
	SpliceTo           Quantity   `key:"splice_to" dim:"length" positive:"yes" max:"10" doc:"largest distance of the middle of a splice from the foot nearest to it"`
	SpliceEndSpans     Flag       `key:"splice_end_spans" default:"false" absent:"it does not" doc:"whether it allows splices in the first and the last span of a rail"`
	RailPast           Quantity   `key:"rail_past" dim:"length" max:"2" default:"0 in" absent:"the rail ends with its last module" doc:"how far a rail stands past its last module, for the end clamp"`
	FastenersOutside   Flag       `key:"fasteners_outside" default:"false" doc:"whether it asks that the fasteners along the array's lower and upper edge stand outside the modules"`
	ClampTorque        Quantity   `key:"clamp_torque" dim:"torque" positive:"yes" min:"1" max:"100" absent:"not stated: the maker's instructions say it" doc:"torque of the bolts of its module clamps"`
	RailTorque         Quantity   `key:"rail_torque" dim:"torque" positive:"yes" min:"1" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of the bolts of its rails, at feet and splices"`
}

// ZoneSpan is one row of the maker's span table.
type ZoneSpan struct {
	Zone        Text     `key:"zone" required:"yes" doc:"roof zone as the maker's letter names it: field, edge, corner, or the wind zone"`
	Orientation Text     `key:"orientation" choice:"portrait|landscape" doc:"orientation of the modules"`
	Span        Quantity `key:"span" dim:"length" positive:"yes" min:"0.05" max:"10" doc:"largest distance between attachments"`
	Cantilever  Quantity `key:"cantilever" dim:"length" max:"5" doc:"largest overhang past the last attachment"`
	Uplift      Quantity `key:"uplift" dim:"pressure" positive:"yes" max:"20000" absent:"as the mounting's span_uplift" doc:"net uplift pressure, allowable level, up to which this span holds"`
	Down        Quantity `key:"down" dim:"pressure" positive:"yes" max:"20000" absent:"as the mounting's span_down" doc:"downward pressure, allowable level, up to which this span holds"`
}

// FastenerType is a fastener by its data.
type FastenerType struct {
	Entity
	Kind             Text     `key:"kind" choice:"lag|wood-screw|metal-screw|seam-clamp|bolt" doc:"what it is"`
	Diameter         Quantity `key:"diameter" dim:"length" positive:"yes" min:"0.002" max:"0.04" doc:"nominal diameter"`
	Length           Quantity `key:"length" dim:"length" positive:"yes" min:"0.005" max:"0.6" doc:"length under the head"`
	Thread           Quantity `key:"thread" dim:"length" positive:"yes" min:"0.002" max:"0.6" absent:"of a lag or wood screw, what its length leaves" doc:"length of thread of a lag or wood screw in the member, less the tip; of a metal screw, from its end up"`
	PlateAndFlashing Quantity `key:"plate" dim:"length" max:"0.3" doc:"thickness of foot, flashing and covering that the fastener passes before the deck"`
	Head             Quantity `key:"head" dim:"length" positive:"yes" min:"0.003" max:"0.1" absent:"nothing that the foot could be pulled over" doc:"diameter of the head or washer"`
	Allowable        Quantity `key:"allowable_withdrawal" dim:"force" positive:"yes" max:"50000" doc:"allowable withdrawal of one fastener stated in the submittal; it never raises what is computed"`
	TestedUltimate   Quantity `key:"tested_ultimate" dim:"force" positive:"yes" max:"50000" doc:"ultimate load of a seam clamp in the maker's test"`
	TestedAlong      Quantity `key:"tested_along" dim:"force" positive:"yes" max:"50000" doc:"ultimate load of a seam clamp along its seam in the maker's test"`
	TestedProfile    Text     `key:"tested_profile" doc:"profile of the metal roof that a seam clamp, or a foot on a rib, was tested on"`
	TestedSheet      Quantity `key:"tested_thickness" dim:"length" positive:"yes" min:"0.0002" max:"0.01" doc:"thickness, base metal, of the sheet that a seam clamp, or a foot on a rib, was tested on"`
	TestReport       Text     `key:"test_report" ref:"document" doc:"paper with the maker's test of a seam clamp, or with an evaluation of a screw"`
	Shear            Quantity `key:"shear_strength" dim:"force" positive:"yes" max:"200000" doc:"nominal shear strength of a screw itself, by its maker's test"`
	Tension          Quantity `key:"tension_strength" dim:"force" positive:"yes" max:"200000" doc:"nominal tension strength of a screw itself, by its maker's test"`
	Lateral          Quantity `key:"allowable_lateral" dim:"force" positive:"yes" max:"50000" absent:"computed, where a standard says how" doc:"allowable lateral load of one fastener in this connection by its evaluation report, normal duration"`
	Root             Quantity `key:"root" dim:"length" positive:"yes" min:"0.001" max:"0.04" absent:"that of a standard screw of its diameter" doc:"root diameter of a wood screw"`
	BendingYield     Quantity `key:"bending_yield" dim:"pressure" positive:"yes" min:"100000000" max:"1700000000" absent:"by its diameter" doc:"bending yield strength Fyb of a wood screw"`
	Drills           Quantity `key:"drills" dim:"length" positive:"yes" min:"0.0003" max:"0.03" doc:"greatest thickness of steel that its point drills through"`
	Spacer           Flag     `key:"spacer" default:"false" absent:"it has none" doc:"whether a solid spacer fills the rib below the foot, so that its screws do not bend over the rib"`
	SideMaterial     Text     `key:"side_material" choice:"steel|aluminum|stainless" default:"steel" absent:"steel" doc:"what the foot it holds is made of"`
	SafetyFactor     Number   `key:"safety_factor" positive:"yes" max:"10" absent:"that of the standard" doc:"safety factor the maker applies"`
	SideThickness    Quantity `key:"side_thickness" dim:"length" positive:"yes" min:"0.0003" max:"0.03" doc:"thickness of the metal foot it holds"`
	SideTensile      Quantity `key:"side_tensile" dim:"pressure" positive:"yes" min:"50000000" max:"2000000000" doc:"tensile strength Fu of the metal foot it holds"`
	EdgeDistance     Quantity `key:"edge_distance" dim:"length" max:"0.5" doc:"least distance to the edge of the member"`
	ThreadPitch      Quantity `key:"thread_pitch" dim:"length" positive:"yes" min:"0.0003" max:"0.01" absent:"three threads are taken as one diameter" doc:"distance from thread to thread"`
	Material         Text     `key:"material" choice:"stainless|galvanized|coated|aluminum" doc:"what it is made of"`
	Torque           Quantity `key:"torque" dim:"torque" positive:"yes" min:"0.5" max:"250" absent:"not stated: the maker's instructions say it" doc:"torque it is tightened to: the set screws of a seam clamp, the nut of a bolt, the head of a screw"`
}

// Array is a grid of modules on one plane. Row 1 is the lowest; column 1 is
// the leftmost seen looking up the slope.
type Array struct {
	Entity
	Plane              Text        `key:"plane" ref:"plane" required:"yes" doc:"plane it lies on"`
	Module             Text        `key:"module" ref:"module_type" doc:"module type"`
	Mounting           Text        `key:"mounting" ref:"mounting_type" doc:"mounting type"`
	Origin             PointAt     `key:"origin" doc:"lower left corner on the surface of the plane"`
	Rotation           Quantity    `key:"rotation" dim:"angle" min:"-360" max:"360" default:"0 deg" absent:"square to the plane" doc:"rotation on the surface, anticlockwise"`
	Rows               Count       `key:"rows" min:"1" max:"1000" doc:"rows up the slope"`
	Columns            Count       `key:"columns" min:"1" max:"1000" doc:"columns along the lowest edge"`
	Orientation        Text        `key:"orientation" choice:"portrait|landscape" doc:"portrait: long side up the slope"`
	GapX               Quantity    `key:"gap_x" dim:"length" max:"30" doc:"gap between columns"`
	GapY               Quantity    `key:"gap_y" dim:"length" max:"30" doc:"gap between rows"`
	Omit               Cells       `key:"omit" absent:"none" doc:"places of the grid without a module, [row, column]"`
	StandOff           Quantity    `key:"stand_off" dim:"length" doc:"clear gap between roof and module underside"`
	Tilt               Quantity    `key:"tilt" dim:"angle" min:"0" max:"90" default:"0 deg" absent:"parallel to the plane" doc:"tilt of the modules against the plane"`
	Height             Quantity    `key:"height_above_roof" dim:"length" min:"0.002" max:"10" absent:"by stand-off, module and tilt" doc:"height of the top of the modules above the roof"`
	ModulesStated      Count       `key:"modules" doc:"number of modules stated on the roof plan"`
	Attachments        Attachments `key:"attachments" doc:"feet on the roof"`
	Clips              Count       `key:"wire_clips" doc:"wire clips planned for the array"`
	BondingParts       Count       `key:"bonding_parts" doc:"bonding parts planned for the array"`
	Lugs               []Lug       `key:"lug" doc:"equipment grounding lugs"`
	Skirt              Flag        `key:"skirt" doc:"whether a skirt closes the lower edge"`
	StarterRail        Flag        `key:"starter_rail" doc:"whether a temporary starter rail carries the first row while it is built"`
	BuildingIntegrated Flag        `key:"building_integrated" default:"false" absent:"it lies on a roof that is whole without it" doc:"whether it is building-integrated and listed to protect firefighters"`
	ThermalBreakAfter  Counts      `key:"break_after_columns" min:"1" absent:"none" doc:"columns after which the row or rail is broken for thermal movement"`
	LeadsEnclosed      Flag        `key:"leads_enclosed" default:"false" absent:"they hang in the open below the modules" doc:"whether the leads between its modules run in metal raceway or enclosed metal tray"`
	BallastEach        Quantity    `key:"ballast" dim:"mass" max:"2000" doc:"ballast on each module of a ballasted array, without the mounting's own weight"`
	Friction           Number      `key:"friction" positive:"yes" max:"1.2" doc:"least coefficient of friction of a ballasted array on its roof, by test"`
	Interconnected     Flag        `key:"interconnected" doc:"whether the parts of a ballasted array are joined so that they move as one"`
}

// Attachments are the feet of an array: by pattern, or point by point in a CSV
// file beside the job (columns x, y and optionally line and name).
type Attachments struct {
	Fastener          Text          `key:"fastener" ref:"fastener_type" doc:"fastener type"`
	FastenersEach     Count         `key:"fasteners_each" min:"1" doc:"fasteners in each foot"`
	FastenerSpacing   Quantity      `key:"fastener_spacing" dim:"length" doc:"distance between the fasteners of a foot"`
	FastenerDirection Text          `key:"fastener_direction" choice:"along-eave|up-slope" doc:"direction in which the fasteners of a foot stand"`
	Lines             Lengths       `key:"lines" signed:"yes" doc:"heights of the lines of feet above the array's lower edge, measured on the surface"`
	Spacing           Quantity      `key:"spacing" dim:"length" min:"0.01" max:"100" doc:"distance between feet along a line"`
	FirstOffset       Quantity      `key:"first_offset" dim:"length" signed:"yes" doc:"distance of the first foot of a line from the array's left edge"`
	Stagger           Quantity      `key:"stagger" dim:"length" signed:"yes" default:"0 in" doc:"shift of every second line"`
	PerLine           Count         `key:"per_line" min:"1" max:"10000" absent:"as many as fit" doc:"feet on each line"`
	File              Text          `key:"file" absent:"feet by pattern" doc:"CSV file with the feet one by one: columns x and y, each with its unit, as in x (in), and optionally line and name; x from the left end of the lowest edge of the array's plane seen looking up the slope, y up the slope, both on the surface as origins and obstructions are given; fields parted by commas or by semicolons"`
	Points            Points        `key:"-"` // the feet of the file
	PointLines        Texts         `key:"-"` // the line of each
	PointNames        Texts         `key:"-"` // the name of each
	PointPlaces       []source.Span `key:"-"` // where each stands
	Stated            Count         `key:"count" doc:"number of feet stated on the roof plan"`
}

// Lug joins the equipment grounding conductor to a module of the array.
type Lug struct {
	Row    Count    `key:"row" min:"1" doc:"row of the module it sits on"`
	Column Count    `key:"column" min:"1" doc:"column of the module it sits on"`
	Listed Flag     `key:"listed" doc:"whether it is listed for this module or rail"`
	Torque Quantity `key:"torque" dim:"torque" positive:"yes" min:"0.2" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of its screw on the conductor"`
}

// String is a set of modules in series on one inverter input.
type String struct {
	Entity
	Array       Text  `key:"array" ref:"array" doc:"array its modules belong to"`
	Modules     Count `key:"modules" min:"1" max:"200" doc:"modules in series"`
	Inverter    Text  `key:"inverter" ref:"inverter" doc:"inverter it feeds"`
	Input       Count `key:"input" min:"1" absent:"the only one, where its inverter has one" doc:"DC input of the inverter"`
	Converter   Text  `key:"converter" ref:"converter_type" absent:"none" doc:"DC-to-DC converter on each module"`
	ModulesEach Count `key:"modules_each_converter" min:"1" doc:"modules on each converter"`
	Fuse        Text  `key:"fuse" ref:"overcurrent" absent:"none" doc:"overcurrent device of the string"`
	Others      Texts `key:"extra_modules" absent:"none" doc:"further modules of other types in series, each as \"2 x type\""`
	OtherArrays Texts `key:"other_arrays" absent:"none" doc:"those of its modules that belong to further arrays, each as \"4 x array\"; the rest belong to array"`
	Factory     Flag  `key:"factory_wired" default:"false" doc:"whether its wiring to the inverter or combiner is part of the listed equipment, so that no circuit stands for it"`

	Extra []ExtraModules `key:"-"` // what extra_modules says
	Apart []ArrayModules `key:"-"` // what other_arrays says
}

// ArrayModules are modules of a string that belong to another array.
type ArrayModules struct {
	Modules int
	Array   string // name of the array
	At      source.Span
}

// Arrays names the arrays of a string, its own first.
func (s *String) Arrays() []Text {
	list := []Text{s.Array}
	for _, a := range s.Apart {
		list = append(list, Text{Value: a.Array, Known: true, Key: s.OtherArrays.Key, At: a.At})
	}
	return list
}

// ExtraModules are modules of another type in a string.
type ExtraModules struct {
	Modules int
	Module  string // name of the module type
	At      source.Span
}

// Inverter is an inverter, or a group of like microinverters, as installed.
type Inverter struct {
	Entity
	Type          Text     `key:"type" ref:"inverter_type" required:"yes" doc:"inverter type"`
	Count         Count    `key:"count" min:"1" max:"10000" absent:"as many as the modules of its array ask for, of microinverters, else one" doc:"how many (microinverters)"`
	Array         Text     `key:"array" ref:"array" doc:"array whose modules a group of microinverters carries"`
	Place         Text     `key:"place" choice:"roof|outside|inside|garage|attic|ground" doc:"where it stands; outside: on an outside wall or beside it; ground: on a frame or pad of its own, away from buildings"`
	OutputSetting Quantity `key:"output_setting" dim:"current" doc:"output current limited by setting"`
	SettingListed Flag     `key:"output_setting_listed" doc:"whether the setting is part of a listed power control system"`
	SettingLocked Flag     `key:"output_setting_locked" doc:"whether only qualified persons can reach the setting"`
	Depth         Quantity `key:"working_depth" dim:"length" max:"100" doc:"clear working depth in front"`
	WorkingWidth  Quantity `key:"working_width" dim:"length" max:"100" doc:"clear working width"`
	WorkingHeight Quantity `key:"working_height" dim:"length" max:"100" doc:"clear working height"`
	Condition     Count    `key:"working_condition" min:"1" doc:"what faces the working space: 1 no grounded parts, 2 grounded parts, 3 live parts"`
	InSunlight    Flag     `key:"in_sunlight" doc:"whether the sun falls on it"`
	Height        Quantity `key:"height" dim:"length" doc:"height of its top above grade"`
	Lines         Text     `key:"lines" choice:"A-B|B-C|C-A|A-N|B-N|C-N|spread" absent:"not said, which matters on a three-phase system only" doc:"lines of a three-phase system that a single-phase inverter stands on; spread: its units are spread evenly over the three pairs"`
}

// Combiner is a box in which strings are put in parallel.
type Combiner struct {
	Entity
	Strings        Texts    `key:"strings" ref:"string" doc:"strings that end in it"`
	Inputs         Count    `key:"inputs" min:"1" max:"500" doc:"strings that it can take"`
	Voltage        Quantity `key:"voltage" dim:"voltage" positive:"yes" min:"30" max:"2000" doc:"voltage rating"`
	Rating         Quantity `key:"rating" dim:"current" positive:"yes" min:"1" max:"10000" doc:"largest continuous output current"`
	Place          Text     `key:"place" choice:"roof|outside|inside|ground" doc:"where it stands; outside: on an outside wall or beside it; ground: on a frame or pad of its own, away from buildings"`
	Enclosure      Text     `key:"enclosure" doc:"enclosure type, such as 3R or 4"`
	Listed         Text     `key:"listed" doc:"standard it is listed to"`
	Factory        Flag     `key:"factory_wired" default:"false" doc:"whether its output is wired to the inverter inside listed equipment, so that no circuit stands for it"`
	ArcFault       Flag     `key:"arc_fault" default:"false" doc:"whether it has listed DC arc-fault protection for its strings"`
	TerminalTorque Quantity `key:"terminal_torque" dim:"torque" positive:"yes" min:"0.2" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of its terminals"`
}

// Circuit is a run of conductors.
type Circuit struct {
	Entity
	Kind            Text          `key:"kind" required:"yes" choice:"string|source|converter-output|inverter-output|branch|feeder|supply-side" doc:"string: one string; source: strings in parallel; branch: microinverters in parallel on AC"`
	Strings         Texts         `key:"strings" ref:"string" doc:"strings whose current it carries"`
	From            Text          `key:"from" ref:"string|inverter|combiner|disconnect|panel|transformer|circuit" absent:"the strings or inverters that it carries, or what gathers them" doc:"what it begins at on the side of the modules, by its name: a string, inverter, combiner, disconnect, panel or transformer, or the circuit that it goes on from"`
	To              Text          `key:"to" ref:"combiner|inverter|disconnect|panel|transformer|circuit|service" absent:"what its strings or inverters lead to, where that is one thing" doc:"what it ends at on the side of the utility, by its name: a combiner, inverter, disconnect, panel or transformer, the circuit that goes on from it, or service"`
	Inverters       Texts         `key:"inverters" ref:"inverter" doc:"inverters whose output it carries"`
	Units           Count         `key:"units" min:"1" max:"500" absent:"those of its groups that stand on no other branch, where that is known" doc:"microinverters on this branch"`
	Conductor       Size          `key:"conductor" doc:"size of the ungrounded conductors"`
	Material        Text          `key:"material" choice:"copper|aluminum" doc:"material of the conductors, of the equipment grounding conductor too where ground_material names no other"`
	Insulation      Text          `key:"insulation" doc:"insulation type, such as THWN-2 or PV wire"`
	Sets            Count         `key:"sets" min:"1" max:"20" default:"1" doc:"parallel sets"`
	SetsApart       Flag          `key:"sets_apart" default:"false" doc:"whether each parallel set has a raceway, and a bonding jumper, of its own"`
	CurrentCarrying Count         `key:"current_carrying" min:"1" max:"200" absent:"all that its raceway holds besides the ground" doc:"current-carrying conductors in the same raceway or cable"`
	Ground          Size          `key:"ground" doc:"size of the equipment grounding conductor"`
	GroundMaterial  Text          `key:"ground_material" choice:"copper|aluminum" absent:"as the conductors" doc:"material of the equipment grounding conductor"`
	GroundPath      Text          `key:"ground_path" choice:"wire|raceway" default:"wire" doc:"what serves as its equipment grounding conductor: a wire, or the metal raceway itself"`
	TerminalProven  Flag          `key:"terminal_proven" doc:"whether the equipment at both ends is listed and marked for a terminal rating above 75 degC"`
	GroundExposed   Flag          `key:"ground_exposed" absent:"no in a raceway, else assumed to be" doc:"whether the equipment grounding conductor is exposed to damage"`
	UpsizedFor      Text          `key:"upsized_for" choice:"voltage-drop|correction|none" absent:"any increase counts" doc:"why the conductors are larger than needed"`
	Raceway         Text          `key:"raceway" choice:"EMT|RMC|IMC|FMC|LFMC|LFNC|PVC-40|PVC-80|ENT|HDPE|wireway|tray|MC|cable|free-air" doc:"raceway or other wiring method; wireway: of metal"`
	TradeSize       Text          `key:"trade_size" doc:"trade size of the raceway, such as 3/4"`
	Contents        Text          `key:"contents" absent:"assumed to be the most that its circuits can bring" doc:"all conductors in the raceway, such as \"4x10 THWN-2, 1x10 THWN-2\""`
	Length          Quantity      `key:"length" dim:"length" max:"10000" doc:"one-way length"`
	RacewayLength   Quantity      `key:"raceway_length" dim:"length" max:"10000" or:".length" doc:"length of the raceway"`
	Ambient         Quantity      `key:"ambient" dim:"temperature" min:"-70" max:"100" or:"site.design_high" doc:"ambient temperature around it"`
	OnRoof          Flag          `key:"on_roof" absent:"no inside, in an attic and underground, else assumed to be so" doc:"whether it runs in sunlight on the roof"`
	AboveRoof       Quantity      `key:"above_roof" dim:"length" max:"10" absent:"assumed to be none" doc:"height of the raceway above the roof"`
	Terminal        Quantity      `key:"terminal" dim:"temperature" positive:"yes" min:"60" max:"150" absent:"assumed to be that of terminals without a mark" doc:"temperature rating of the terminals"`
	VoltageRating   Quantity      `key:"voltage_rating" dim:"voltage" positive:"yes" min:"100" max:"35000" doc:"voltage rating of the conductors"`
	Overcurrent     Text          `key:"overcurrent" ref:"overcurrent" doc:"overcurrent device that protects it"`
	Voltage         Quantity      `key:"voltage" dim:"voltage" positive:"yes" min:"100" max:"35000" absent:"that of what leads to an AC circuit and of what it ends at, where they are alike" doc:"nominal voltage of an AC circuit"`
	System          Text          `key:"system" choice:"single-phase|split-phase|three-phase" absent:"that of what leads to an AC circuit and of what it ends at, where they are alike" doc:"system of an AC circuit"`
	Place           Text          `key:"place" choice:"array|roof|outside|inside|attic|underground" doc:"where it runs"`
	Wet             Flag          `key:"wet" absent:"as its place says: outdoors and underground is wet" doc:"whether the place is wet"`
	Supported       Quantity      `key:"support_interval" dim:"length" min:"0.05" max:"10" doc:"largest distance between supports"`
	Connector       Text          `key:"connector" doc:"type of the connectors at the array end of a string circuit"`
	Shares          Texts         `key:"shares" ref:"circuit" absent:"as a circuit that names it says" doc:"other circuits in the same raceway or box, without a partition between them (an empty list: none)"`
	Guarded         Flag          `key:"guarded" doc:"whether it is guarded or out of reach of the public"`
	OutOfReach      Flag          `key:"out_of_reach" doc:"whether it is not readily accessible: behind a locked fence, or too high to reach from the ground"`
	Building        Text          `key:"building" choice:"none|outside|encased|inside" absent:"by its place and that of the equipment at its ends" doc:"what it touches of any building on its way; outside: runs along or ends on an outside wall or a roof; encased: in concrete or below a slab, so that it counts as outside the building; inside: enters it"`
	Grouped         Flag          `key:"grouped" default:"false" doc:"whether the conductors of each system are grouped and identified wherever it shares a raceway or box with other circuits"`
	Sheltered       Text          `key:"sheltered" absent:"nothing" doc:"what keeps an outdoor run dry, such as a porch roof, with the drawing that shows it"`
	BurialDepth     Quantity      `key:"burial_depth" dim:"length" doc:"cover over an underground run: from grade to the top of the raceway or cable"`
	Cover           Text          `key:"cover" choice:"soil|concrete|driveway|street|slab" doc:"what lies above an underground run; concrete: at least 2 in of it over the run; driveway: of the house, also its parking; street: also alleys, other driveways and parking lots; slab: of the building itself"`
	WallLength      Quantity      `key:"wall_length" dim:"length" doc:"length along the outside of a building"`
	Stated          StatedCircuit `key:"stated" doc:"values the drawings state for it"`
}

// StatedCircuit is what a schedule on the drawings says of a circuit.
type StatedCircuit struct {
	Current  Quantity `key:"current" dim:"current" max:"10000" doc:"maximum current"`
	Ampacity Quantity `key:"ampacity" dim:"current" max:"10000" doc:"corrected ampacity"`
	Voltage  Quantity `key:"voltage" dim:"voltage" max:"35000" doc:"maximum voltage"`
	Drop     Quantity `key:"voltage_drop" dim:"ratio" max:"0.5" doc:"voltage drop"`
}

// Overcurrent is a fuse or a circuit breaker.
type Overcurrent struct {
	Entity
	Kind             Text     `key:"kind" choice:"fuse|breaker" doc:"what it is"`
	Rating           Quantity `key:"rating" dim:"current" positive:"yes" min:"1" max:"6000" doc:"ampere rating"`
	Voltage          Quantity `key:"voltage" dim:"voltage" positive:"yes" min:"30" max:"38000" doc:"voltage rating"`
	DC               Flag     `key:"dc" absent:"yes where it is listed for photovoltaic circuits" doc:"whether it is rated for DC"`
	PVListed         Flag     `key:"pv_listed" doc:"whether it is listed for photovoltaic circuits"`
	Interrupting     Quantity `key:"interrupting" dim:"current" positive:"yes" min:"10" max:"300000" doc:"interrupting rating"`
	Backfed          Flag     `key:"backfed" absent:"yes of a breaker in a circuit of inverters, no of a fuse" doc:"whether power flows into its load side"`
	BackfeedSuitable Flag     `key:"backfeed_suitable" doc:"whether it is suitable for backfeed (not marked line and load)"`
	FullRated        Flag     `key:"full_rated" default:"false" doc:"whether its assembly is listed for continuous duty at 100 %"`
	TerminalTorque   Quantity `key:"terminal_torque" dim:"torque" positive:"yes" min:"0.2" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of its terminals, or of those of the fuse holder"`
}

// Disconnect is a disconnecting means.
type Disconnect struct {
	Entity
	Purpose            Text     `key:"purpose" choice:"pv-system|inverter|array|combiner|service|utility" doc:"what it disconnects"`
	Circuit            Text     `key:"circuit" ref:"circuit" doc:"circuit it opens"`
	Inverter           Text     `key:"inverter" ref:"inverter" doc:"equipment it isolates"`
	Rating             Quantity `key:"rating" dim:"current" positive:"yes" min:"1" max:"6000" doc:"ampere rating"`
	Voltage            Quantity `key:"voltage" dim:"voltage" positive:"yes" min:"30" max:"38000" doc:"voltage rating"`
	Lockable           Flag     `key:"lockable" doc:"whether it locks open"`
	ReadilyAccessible  Flag     `key:"readily_accessible" doc:"whether it is readily accessible"`
	InSight            Flag     `key:"within_sight" doc:"whether it is within sight of the equipment"`
	Distance           Quantity `key:"distance" dim:"length" max:"1000" doc:"distance to the equipment it isolates"`
	LoadBreak          Flag     `key:"load_break" doc:"whether it is rated to open under load"`
	Place              Text     `key:"place" choice:"roof|outside|inside|bathroom|ground" doc:"where it stands; ground: on a frame or pad of its own, away from buildings"`
	ServiceRated       Flag     `key:"service_rated" doc:"whether it is suitable as service equipment"`
	InterruptingRating Quantity `key:"interrupting" dim:"current" positive:"yes" min:"10" max:"300000" doc:"interrupting or short-circuit rating"`
	NeutralBonded      Flag     `key:"neutral_bonded" doc:"whether the neutral is bonded to its enclosure"`
	Enclosure          Text     `key:"enclosure" doc:"enclosure type, such as 3R or 4"`
	Remote             Flag     `key:"remote" default:"false" doc:"whether it is operated from a control at the equipment"`
	PolesPerInput      Flag     `key:"poles_per_input" default:"false" doc:"whether each input of the inverter has poles of its own in it, so that its rating is that of one input"`
	PVSystem           Text     `key:"pv_system" absent:"the only one" doc:"PV system that it disconnects, where there are several"`
	Depth              Quantity `key:"working_depth" dim:"length" absent:"it shares the space of the equipment beside it" doc:"clear working depth in front, where it stands by itself"`
	WorkingWidth       Quantity `key:"working_width" dim:"length" doc:"clear working width, where it stands by itself"`
	Condition          Count    `key:"working_condition" min:"1" doc:"what faces the working space, where it stands by itself: 1 no grounded parts, 2 grounded parts, 3 live parts"`
	EnclosureLocked    Flag     `key:"enclosure_locked" doc:"whether its door, where live parts lie behind it, is locked or opens with a tool only"`
	TerminalTorque     Quantity `key:"terminal_torque" dim:"torque" positive:"yes" min:"0.2" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of its terminals"`
}

// Panel is a panelboard, load centre or switchboard beside the service's own
// panel, which [service] describes: a busbar with overcurrent devices on it.
type Panel struct {
	Entity
	Supply                 Text             `key:"supply" ref:"panel|transformer|service" doc:"what supplies it on the side of the utility: a panel or transformer by its name, or service"`
	Feeder                 Text             `key:"feeder" ref:"circuit" absent:"feeder_ampacity and feeder_overcurrent describe it" doc:"circuit that joins it to its supply, where the job describes that circuit"`
	FeederAmpacity         Quantity         `key:"feeder_ampacity" dim:"current" positive:"yes" min:"10" max:"10000" doc:"ampacity of an existing feeder that joins it to its supply"`
	FeederOvercurrent      Quantity         `key:"feeder_overcurrent" dim:"current" positive:"yes" min:"10" max:"10000" doc:"overcurrent device at the supply end of that feeder"`
	Main                   Quantity         `key:"main" dim:"current" positive:"yes" min:"10" max:"10000" absent:"it has main lugs only, so that the device of its feeder supplies the busbar" doc:"rating of its main overcurrent device"`
	Busbar                 Quantity         `key:"busbar" dim:"current" positive:"yes" min:"15" max:"10000" doc:"rating of its busbar"`
	Voltage                Quantity         `key:"voltage" dim:"voltage" positive:"yes" min:"100" max:"35000" or:"service.voltage" doc:"nominal voltage"`
	System                 Text             `key:"system" choice:"single-phase|split-phase|three-phase" or:"service.system" doc:"system"`
	Loads                  Flag             `key:"loads" doc:"whether it supplies loads; a panel that only gathers inverters does not"`
	Option                 Text             `key:"option" choice:"sum|opposite-end|breaker-sum|center-fed|feed-through|engineered|power-control" doc:"busbar option that the design relies on at this panel"`
	Position               Text             `key:"position" choice:"opposite-end|other|both-ends" doc:"place on its busbar of the devices through which sources reach it"`
	SourceBreakers         Given[[]float64] `key:"source_breakers" dim:"current" min:"1" max:"10000" absent:"those of the circuits that end in it" doc:"ratings of all devices through which sources reach its busbar"`
	LoadBreakers           Given[[]float64] `key:"load_breakers" dim:"current" min:"1" max:"10000" doc:"ratings of all load breakers on its busbar"`
	OtherSources           Given[[]float64] `key:"other_sources" dim:"current" doc:"output currents of other sources on its busbar (an empty list: none)"`
	ListedForSources       Flag             `key:"listed_for_sources" default:"false" doc:"whether it is listed for combining sources and loads as it is used"`
	PowerControlLimit      Quantity         `key:"power_control_limit" dim:"current" max:"10000" doc:"current that a listed power control system holds the busbar to"`
	PowerControlListed     Flag             `key:"power_control_listed" doc:"whether that system is listed"`
	FeedThroughAmpacity    Quantity         `key:"feed_through_ampacity" dim:"current" positive:"yes" doc:"ampacity of the conductors at its feed-through lugs"`
	FeedThroughOvercurrent Quantity         `key:"feed_through_overcurrent" dim:"current" positive:"yes" absent:"none" doc:"overcurrent device at the supply end of those conductors"`
	FeedThroughLoadSide    Quantity         `key:"feed_through_load_side" dim:"current" positive:"yes" absent:"none" doc:"overcurrent device at their far end, such as the main of the panel that they feed"`
	FeedThroughOption      Text             `key:"feed_through_option" choice:"sum|opposite-end|breaker-sum" absent:"the plain sum" doc:"option that the busbar itself relies on where a device stands at the supply end of its feed-through conductors"`
	SingleCircuit          Flag             `key:"single_circuit" default:"false" doc:"whether its equipment can supply one branch circuit or feeder only, with no place for another"`
	Interrupting           Quantity         `key:"interrupting" dim:"current" positive:"yes" min:"1000" max:"300000" doc:"short-circuit current rating"`
	Place                  Text             `key:"place" choice:"roof|outside|inside|garage|attic|ground" doc:"where it stands; ground: on a frame or pad of its own, away from buildings"`
	Depth                  Quantity         `key:"working_depth" dim:"length" max:"100" doc:"clear working depth in front"`
	WorkingWidth           Quantity         `key:"working_width" dim:"length" max:"100" doc:"clear working width"`
	WorkingHeight          Quantity         `key:"working_height" dim:"length" max:"100" doc:"clear working height"`
	Condition              Count            `key:"working_condition" min:"1" doc:"what faces the working space: 1 no grounded parts, 2 grounded parts, 3 live parts"`
	TerminalTorque         Quantity         `key:"terminal_torque" dim:"torque" positive:"yes" min:"0.2" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of its main lugs or of the terminals of its main"`
}

// Transformer stands between inverters or panels and the service.
type Transformer struct {
	Entity
	Supply         Text     `key:"supply" ref:"panel|transformer|service" doc:"what it is joined to on the side of the utility: a panel or transformer by its name, or service"`
	Feeder         Text     `key:"feeder" ref:"circuit" doc:"circuit on the side of the utility"`
	Power          Quantity `key:"power" dim:"power" positive:"yes" min:"500" max:"100000000" doc:"rated apparent power, in W for VA"`
	Voltage        Quantity `key:"voltage" dim:"voltage" positive:"yes" min:"100" max:"35000" doc:"nominal voltage on the side of the inverters"`
	System         Text     `key:"system" choice:"single-phase|split-phase|three-phase" doc:"system on the side of the inverters"`
	UtilityVoltage Quantity `key:"utility_voltage" dim:"voltage" positive:"yes" min:"100" max:"35000" doc:"nominal voltage on the side of the utility"`
	UtilitySystem  Text     `key:"utility_system" choice:"single-phase|split-phase|three-phase" doc:"system on the side of the utility"`
	Overcurrent    Text     `key:"overcurrent" ref:"overcurrent" doc:"overcurrent device on the side of the utility"`
	InverterSide   Text     `key:"inverter_overcurrent" ref:"overcurrent" absent:"none" doc:"overcurrent device on the side of the inverters"`
	Impedance      Quantity `key:"impedance" dim:"ratio" positive:"yes" max:"0.5" doc:"rated impedance"`
	TerminalTorque Quantity `key:"terminal_torque" dim:"torque" positive:"yes" min:"0.2" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of its terminals"`
}

// Service is the electrical service.
type Service struct {
	Rating                 Quantity         `key:"rating" dim:"current" positive:"yes" min:"15" max:"10000" doc:"rating of the service"`
	Voltage                Quantity         `key:"voltage" dim:"voltage" positive:"yes" min:"100" max:"35000" doc:"nominal voltage"`
	System                 Text             `key:"system" choice:"single-phase|split-phase|three-phase" doc:"system"`
	Main                   Quantity         `key:"main" dim:"current" positive:"yes" min:"10" max:"10000" doc:"rating of the main overcurrent device"`
	Busbar                 Quantity         `key:"busbar" dim:"current" positive:"yes" min:"15" max:"10000" doc:"rating of the busbar"`
	Connection             Text             `key:"connection" choice:"wye|delta" absent:"what is usual for its voltage" doc:"how a three-phase service is connected"`
	Frequency              Number           `key:"frequency" positive:"yes" default:"60" doc:"nominal frequency, in hertz"`
	Option                 Text             `key:"option" choice:"sum|opposite-end|breaker-sum|center-fed|feed-through|engineered|power-control" absent:"that of the interconnection, where it is made at this busbar" doc:"busbar option that the design relies on at the service's busbar"`
	Position               Text             `key:"position" choice:"opposite-end|other|both-ends" absent:"that of the interconnection, where it is made at this busbar" doc:"place on the service's busbar of the devices through which sources reach it"`
	ConductorSize          Size             `key:"conductor" doc:"size of the service conductors"`
	ConductorMaterial      Text             `key:"material" choice:"copper|aluminum" doc:"material of the service conductors"`
	Sets                   Count            `key:"sets" min:"1" max:"20" default:"1" doc:"parallel sets of service conductors"`
	Replaced               Flag             `key:"replaced" default:"false" absent:"kept as it is" doc:"whether the service equipment is replaced or made larger in this work"`
	EmergencyOff           Flag             `key:"emergency_disconnect" doc:"whether a replaced service has a marked emergency disconnect outside"`
	SurgeProtection        Flag             `key:"surge_protection" doc:"whether a replaced service has surge protection"`
	PhotoOfLabel           Flag             `key:"photo_of_label" absent:"as the papers say" doc:"whether a photograph of the panel label is in the submittal"`
	LoadCalculation        Flag             `key:"load_calculation" absent:"as the papers say" doc:"whether a load calculation is in the submittal"`
	HasBusbar              Flag             `key:"has_busbar" default:"true" doc:"whether branch circuits or several feeders leave a busbar of the service; a single switch with one feeder has none"`
	SourceBreakers         Given[[]float64] `key:"source_breakers" dim:"current" min:"1" max:"10000" absent:"those of the feeders and of the interconnection" doc:"ratings of all devices through which sources reach its busbar"`
	LoadBreakers           Given[[]float64] `key:"load_breakers" dim:"current" min:"1" max:"10000" doc:"ratings of all load breakers on its busbar"`
	OtherSources           Given[[]float64] `key:"other_sources" dim:"current" absent:"those of the interconnection, where it is made at this busbar" doc:"output currents of other sources on its busbar (an empty list: none)"`
	ListedForSources       Flag             `key:"listed_for_sources" default:"false" doc:"whether it is listed for combining sources and loads as it is used"`
	PowerControlLimit      Quantity         `key:"power_control_limit" dim:"current" doc:"current that a listed power control system holds the busbar to"`
	PowerControlListed     Flag             `key:"power_control_listed" doc:"whether that system is listed"`
	FeedThroughAmpacity    Quantity         `key:"feed_through_ampacity" dim:"current" positive:"yes" doc:"ampacity of the conductors at its feed-through lugs"`
	FeedThroughOvercurrent Quantity         `key:"feed_through_overcurrent" dim:"current" positive:"yes" absent:"none" doc:"overcurrent device at the supply end of those conductors"`
	FeedThroughLoadSide    Quantity         `key:"feed_through_load_side" dim:"current" positive:"yes" absent:"none" doc:"overcurrent device at their far end, such as the main of the panel that they feed"`
	FeedThroughOption      Text             `key:"feed_through_option" choice:"sum|opposite-end|breaker-sum" absent:"the plain sum" doc:"option that the busbar itself relies on where a device stands at the supply end of its feed-through conductors"`
	SingleCircuit          Flag             `key:"single_circuit" default:"false" doc:"whether its equipment can supply one branch circuit or feeder only, with no place for another"`
	Disconnects            Count            `key:"disconnects" min:"1" doc:"service disconnects at the service, with those of sources ahead of the main"`
	DisconnectsGrouped     Flag             `key:"disconnects_grouped" doc:"whether they are grouped at one place"`
}

// Interconnection is where the system meets the premises wiring.
type Interconnection struct {
	Kind                   Text             `key:"kind" choice:"supply-side|busbar|feeder|feeder-tap" doc:"how it connects"`
	Panel                  Text             `key:"panel" ref:"panel" absent:"the panel of the service" doc:"panel whose busbar or feeder it connects to"`
	Option                 Text             `key:"option" choice:"sum|opposite-end|breaker-sum|center-fed|feed-through|engineered|power-control" doc:"busbar option that the design relies on"`
	Position               Text             `key:"position" choice:"opposite-end|other|both-ends" doc:"place of the source breakers on the busbar, or of the connection on the feeder"`
	Overcurrent            Text             `key:"overcurrent" ref:"overcurrent" absent:"that of the one circuit that reaches it" doc:"source overcurrent device"`
	Overcurrents           Texts            `key:"overcurrents" ref:"overcurrent" absent:"that one alone" doc:"source overcurrent devices, where several are backfed, besides the one that overcurrent names"`
	LoadBreakers           Given[[]float64] `key:"load_breakers" dim:"current" min:"1" max:"10000" doc:"ratings of all load breakers on the busbar"`
	OtherSources           Given[[]float64] `key:"other_sources" dim:"current" doc:"output currents of other sources on the busbar"`
	Busbar                 Quantity         `key:"busbar" dim:"current" positive:"yes" min:"15" max:"10000" or:"service.busbar" doc:"rating of the busbar, where it is not the service's"`
	Main                   Quantity         `key:"main" dim:"current" positive:"yes" min:"10" max:"10000" or:"service.main" doc:"rating of the device that supplies the busbar, where it is not the service's"`
	FeederAmpacity         Quantity         `key:"feeder_ampacity" dim:"current" positive:"yes" min:"10" max:"10000" doc:"ampacity of the feeder"`
	FeederOvercurrent      Quantity         `key:"feeder_overcurrent" dim:"current" positive:"yes" min:"10" max:"10000" doc:"device that supplies the feeder"`
	LoadSideOvercurrent    Quantity         `key:"load_side_overcurrent" dim:"current" positive:"yes" min:"10" max:"10000" absent:"none" doc:"device at the load side of the connection on the feeder"`
	Connections            Count            `key:"connections" min:"2" absent:"not said; what the equipment can supply decides" doc:"all connections to the busbar, supply and sources included"`
	TapLength              Quantity         `key:"tap_length" dim:"length" max:"300" doc:"length of the tap conductors"`
	TapAmpacity            Quantity         `key:"tap_ampacity" dim:"current" positive:"yes" min:"10" max:"10000" doc:"ampacity of the tap conductors"`
	Conductor              Size             `key:"conductor" doc:"size of the supply-side conductors"`
	Material               Text             `key:"material" choice:"copper|aluminum" doc:"their material"`
	Length                 Quantity         `key:"length" dim:"length" max:"1000" doc:"length of the supply-side conductors to the first overcurrent device"`
	Inside                 Flag             `key:"inside" doc:"whether the connection is made inside the building"`
	PowerControlLimit      Quantity         `key:"power_control_limit" dim:"current" max:"10000" doc:"current that a listed power control system holds the busbar to"`
	PowerControlListed     Flag             `key:"power_control_listed" doc:"whether that system is listed"`
	TapApproved            Flag             `key:"tap_approved" doc:"whether the maker of the equipment or the utility approves the tap"`
	UtilityApproval        Flag             `key:"utility_approval" absent:"as the papers say" doc:"whether the utility's approval is in the submittal"`
	SingleCircuit          Flag             `key:"single_circuit" default:"false" doc:"whether its equipment can supply one branch circuit or feeder only, with no place for another"`
	FeedThroughAmpacity    Quantity         `key:"feed_through_ampacity" dim:"current" positive:"yes" doc:"ampacity of the conductors at its feed-through lugs"`
	FeedThroughOvercurrent Quantity         `key:"feed_through_overcurrent" dim:"current" positive:"yes" absent:"none" doc:"overcurrent device at the supply end of those conductors"`
	FeedThroughLoadSide    Quantity         `key:"feed_through_load_side" dim:"current" positive:"yes" absent:"none" doc:"overcurrent device at their far end, such as the main of the panel that they feed"`
	FeedThroughOption      Text             `key:"feed_through_option" choice:"sum|opposite-end|breaker-sum" absent:"the plain sum" doc:"option that the busbar itself relies on where a device stands at the supply end of its feed-through conductors"`
	TapOvercurrent         Text             `key:"tap_overcurrent" ref:"overcurrent" absent:"the source overcurrent device" doc:"device that the tap conductors end in"`
	Sets                   Count            `key:"sets" min:"1" default:"1" doc:"parallel sets of supply-side conductors"`
	Neutral                Size             `key:"neutral" doc:"size of the grounded conductor of the supply-side connection"`
	SetsApart              Flag             `key:"sets_apart" default:"false" doc:"whether each parallel set has a raceway of its own"`
	CableLimiters          Flag             `key:"cable_limiters" default:"false" doc:"whether cable limiters or current-limiting breakers stand at the supply-side connection"`
	EngineeringSupervision Flag             `key:"engineering_supervision" default:"false" doc:"whether the supply-side conductors are installed under engineering supervision"`
	GroundFaultProtection  Flag             `key:"ground_fault_protection" doc:"whether ground-fault protection of equipment covers the sources, where the service or their device asks for it"`
	TerminalTorque         Quantity         `key:"terminal_torque" dim:"torque" positive:"yes" min:"0.2" max:"150" absent:"not stated: the maker's instructions say it" doc:"torque of the lugs or connectors that a supply-side connection or a tap is made with"`
}

// RapidShutdown is how array circuits are controlled for firefighters.
type RapidShutdown struct {
	Method            Text     `key:"method" choice:"listed-array|hazard-control|module-level|no-exposed-parts|none" doc:"how conductors inside the array boundary are controlled; no-exposed-parts: nothing there that conducts can be touched, and nothing grounded is near"`
	InsideVoltage     Quantity `key:"inside_voltage" dim:"voltage" max:"2000" absent:"what the modules on one microinverter or converter give, where every module stands on one" doc:"voltage inside the boundary after shutdown"`
	OutsideVoltage    Quantity `key:"outside_voltage" dim:"voltage" max:"2000" absent:"what the converters leave, where every string has them; none, of listed microinverters alone" doc:"voltage outside the boundary after shutdown"`
	Time              Quantity `key:"time" dim:"time" max:"600" doc:"time to reach those voltages"`
	Boundary          Quantity `key:"boundary" dim:"length" max:"100" doc:"farthest distance from the array that circuits stay uncontrolled"`
	Initiator         Text     `key:"initiator" choice:"service-disconnect|pv-disconnect|switch" doc:"what starts it"`
	InitiatorPlace    Text     `key:"initiator_place" choice:"outside|inside" absent:"where the one switch is that starts it" doc:"where the initiator is"`
	ReadilyAccessible Flag     `key:"readily_accessible" absent:"as the one switch is that starts it" doc:"whether the initiator is readily accessible"`
	Initiators        Count    `key:"initiators" max:"200" min:"1" absent:"one, where one switch starts it" doc:"how many initiators"`
	Listed            Flag     `key:"listed" doc:"whether its equipment is listed for rapid shutdown"`
	OnOneLine         Flag     `key:"on_one_line" doc:"whether it is drawn on the one-line"`
	Entry             Quantity `key:"entry" dim:"length" doc:"farthest distance inside a building, from where a circuit of a ground array enters it, that the circuit stays uncontrolled"`
	FieldLabeled      Flag     `key:"field_labeled" default:"false" doc:"whether its equipment is field labeled for rapid shutdown instead of listed"`
	GroundedParts     Quantity `key:"grounded_parts" dim:"length" doc:"least distance of an array without exposed conductive parts from grounded parts and from the ground"`
}

// Grounding is the grounding electrode system and bonding.
type Grounding struct {
	Electrode           Text     `key:"electrode" choice:"rod|plate|concrete-encased|ring|water-pipe|building" doc:"grounding electrode used"`
	ElectrodeConductor  Size     `key:"electrode_conductor" doc:"size of the grounding electrode conductor"`
	ElectrodeMaterial   Text     `key:"electrode_material" choice:"copper|aluminum" doc:"its material"`
	Rods                Count    `key:"rods" max:"1000" doc:"number of rods, pipes or plates"`
	RodResistanceProven Flag     `key:"rod_resistance_proven" doc:"whether 25 ohm or less is proven for a single electrode"`
	ArrayConductor      Size     `key:"array_conductor" doc:"size of the conductor from the lugs"`
	ArrayMaterial       Text     `key:"array_material" choice:"copper|aluminum" doc:"its material"`
	ArrayExposed        Flag     `key:"array_exposed" doc:"whether it is exposed to damage"`
	RingConductor       Size     `key:"ring_conductor" doc:"size of the conductor of a ring electrode"`
	RingDepth           Quantity `key:"ring_depth" dim:"length" doc:"depth of a ring electrode below grade"`
	ArrayElectrode      Flag     `key:"array_electrode" default:"false" doc:"whether the array has a grounding electrode of its own"`
	ElectrodeBonded     Flag     `key:"array_electrode_bonded" doc:"whether that electrode is joined to the equipment grounding conductor of the array"`
}

// Label is one entry of the label sheet.
type Label struct {
	Entity
	Kind       Text     `key:"kind" choice:"dc-voltage|rapid-shutdown|rapid-shutdown-switch|dc-raceway|pv-disconnect|ac-output|do-not-relocate|breaker-sum|directory|dual-source|combiner|fault-current|emergency-disconnect|arc-flash" doc:"what it says"`
	Place      Text     `key:"place" doc:"where it is fixed"`
	Voltage    Quantity `key:"voltage" dim:"voltage" max:"35000" doc:"voltage on it"`
	Current    Quantity `key:"current" dim:"current" max:"300000" doc:"current on it"`
	Interval   Quantity `key:"interval" dim:"length" positive:"yes" min:"0.1" max:"100" doc:"distance between like labels"`
	Letter     Quantity `key:"letter" dim:"length" positive:"yes" min:"0.001" max:"0.3" doc:"height of its letters"`
	BodyLetter Quantity `key:"body_letter" dim:"length" positive:"yes" min:"0.001" max:"0.3" absent:"as its title" doc:"height of the letters below its title"`
	Durable    Flag     `key:"durable" doc:"whether it withstands its place and is not handwritten"`
	Reflective Flag     `key:"reflective" doc:"whether it is reflective"`
}

// Document is one paper in the submittal.
type Document struct {
	Entity
	Kind         Text     `key:"kind" choice:"site-plan|roof-plan|one-line|cut-sheet|installation-manual|structural-letter|attachment-detail|label-sheet|listing|load-calculation|utility-approval|response-letter|photos|special-inspection|permit-record|electrical-calculation|structural-calculation|test-report" doc:"what it is"`
	For          Text     `key:"for" doc:"equipment type or subject it belongs to"`
	Sheet        Text     `key:"sheet" doc:"sheet number"`
	Sealed       Flag     `key:"sealed" doc:"whether a licensed professional sealed it"`
	ToScale      Flag     `key:"to_scale" doc:"whether it is drawn to scale"`
	SmallestText Quantity `key:"smallest_text" dim:"length" positive:"yes" min:"0.0003" max:"0.1" doc:"height of the smallest text on a drawing"`
	Shows        Texts    `key:"shows" doc:"what it shows"`
	File         Text     `key:"file" doc:"file of the paper beside the job: PDF, PNG, JPEG or TIFF" absent:"the paper itself is not looked at"`
	SHA256       Text     `key:"sha256" doc:"SHA-256 of that file in 64 hexadecimal digits, to tell that the review is of the paper that was handed in" absent:"the file is taken as it is"`

	Paper *Paper `key:"-"` // what File names; nil where it is left out
}

// OneLine is what the one-line diagram states.
type OneLine struct {
	Modules   Count    `key:"modules" doc:"number of modules"`
	Strings   Count    `key:"strings" doc:"number of strings"`
	Inverters Count    `key:"inverters" doc:"number of inverters"`
	DCPower   Quantity `key:"dc_power" dim:"power" positive:"yes" min:"50" max:"100000000" doc:"array power at standard test conditions"`
	ACPower   Quantity `key:"ac_power" dim:"power" positive:"yes" min:"50" max:"100000000" doc:"AC power"`
	Voltage   Quantity `key:"dc_voltage" dim:"voltage" positive:"yes" min:"10" max:"2000" doc:"maximum DC voltage"`
	Main      Quantity `key:"main" dim:"current" positive:"yes" min:"10" max:"10000" doc:"rating of the main"`
	Busbar    Quantity `key:"busbar" dim:"current" positive:"yes" min:"15" max:"10000" doc:"rating of the busbar"`
}

// Stated is what a letter or calculation in the submittal says.
type Stated struct {
	WindSpeed          Quantity `key:"wind_speed" dim:"speed" min:"20" max:"140" doc:"wind speed"`
	Exposure           Text     `key:"exposure" choice:"B|C|D" doc:"exposure category"`
	ASCE7              Text     `key:"asce7" choice:"7-05|7-10|7-16|7-22" doc:"edition of ASCE 7"`
	Qh                 Quantity `key:"qh" dim:"pressure" max:"10000" doc:"velocity pressure"`
	Uplift             Quantity `key:"uplift" dim:"pressure" doc:"largest uplift pressure, as a positive number"`
	UpliftLevel        Text     `key:"uplift_level" choice:"strength|allowable" doc:"level of that pressure"`
	AttachmentUplift   Quantity `key:"attachment_uplift" dim:"force" doc:"largest uplift on one attachment, allowable level"`
	AttachmentCapacity Quantity `key:"attachment_capacity" dim:"force" doc:"allowable uplift capacity of one attachment"`
	GroundSnow         Quantity `key:"ground_snow" dim:"pressure" max:"40000" doc:"ground snow load"`
	SnowFactor         Number   `key:"snow_factor" max:"2" doc:"load factor applied to snow"`
	SnowLevel          Text     `key:"snow_level" choice:"strength|allowable" doc:"level of the combinations that factor stands in"`
	Importance         Number   `key:"snow_importance" max:"1.5" doc:"snow importance factor applied"`
	RoofZoneWidth      Quantity `key:"zone_width" dim:"length" max:"100" doc:"depth of the zone drawn along the edges of the roof: a on gable and hip roofs, 2 a at rakes and high eave of a monoslope, 0.6 h on a roof of up to 7 degrees"`
	DeadLoad           Quantity `key:"dead_load" dim:"pressure" max:"5000" doc:"dead load of the array"`
	Coverage           Quantity `key:"coverage" dim:"ratio" max:"1" doc:"array area over roof area, in plan"`
	SpecialInspection  Flag     `key:"special_inspection" doc:"whether the letter asks for special inspections"`
	DCCurrent          Quantity `key:"dc_current" dim:"current" positive:"yes" min:"0.5" max:"200" absent:"none is relied on" doc:"largest current of one string by an engineer's sealed calculation, for a large system"`
	DCVoltage          Quantity `key:"dc_voltage" dim:"voltage" positive:"yes" min:"10" max:"2000" absent:"none is relied on" doc:"largest DC voltage by an engineer's sealed calculation, for a large system"`
}

// Engineered is what a sealed calculation in the submittal gives as its result, for
// the arrays and the subjects that it covers. All forces are of one foot, at
// allowable level.
type Engineered struct {
	Entity
	Document       Text     `key:"document" ref:"document" required:"yes" doc:"the paper it stands in"`
	Covers         Texts    `key:"covers" choice:"wind|snow|seismic|fastening|framing|ballast" required:"yes" doc:"what it covers"`
	Arrays         Texts    `key:"arrays" ref:"array" absent:"every array" doc:"arrays it covers"`
	WindSpeed      Quantity `key:"wind_speed" dim:"speed" min:"20" max:"140" doc:"wind speed it was made for"`
	Exposure       Text     `key:"exposure" choice:"B|C|D" doc:"exposure category it was made for"`
	ASCE7          Text     `key:"asce7" choice:"7-05|7-10|7-16|7-22" doc:"edition of ASCE 7 it was made by"`
	GroundSnow     Quantity `key:"ground_snow" dim:"pressure" max:"40000" doc:"ground snow load it was made for"`
	SDS            Number   `key:"sds" max:"5" doc:"design spectral acceleration SDS it was made for"`
	DeadLoad       Quantity `key:"dead_load" dim:"pressure" max:"5000" doc:"weight of the array that it was made for"`
	Spacing        Quantity `key:"spacing" dim:"length" positive:"yes" min:"0.1" max:"10" doc:"largest distance between feet that it was made for"`
	Uplift         Quantity `key:"uplift" dim:"force" max:"200000" doc:"largest net uplift on one foot"`
	Down           Quantity `key:"down" dim:"force" max:"200000" min:"20" doc:"largest load into the roof on one foot"`
	Downslope      Quantity `key:"downslope" dim:"force" max:"200000" doc:"largest load along the slope on one foot"`
	ModuleUplift   Quantity `key:"module_uplift" dim:"pressure" max:"20000" absent:"a bound counts for modules outside of the wind methods" doc:"largest wind off a module, allowable level"`
	ModuleDown     Quantity `key:"module_down" dim:"pressure" max:"20000" absent:"a bound counts for modules outside of the wind methods" doc:"largest wind onto a module, allowable level"`
	HoldsUplift    Quantity `key:"holds_uplift" dim:"force" positive:"yes" max:"50000" doc:"allowable uplift of one foot with its fasteners"`
	HoldsDownslope Quantity `key:"holds_downslope" dim:"force" positive:"yes" max:"50000" doc:"allowable load along the slope of one foot with its fasteners"`
}

// AsBuilt is a survey of the attachment points: a CSV file beside the job with
// columns array, x, y and height.
type AsBuilt struct {
	File         Text          `key:"file" absent:"no survey" doc:"CSV file with the surveyed points: columns array, x, y and optionally height, each with its unit, as in x (in); x from the left end of the lowest edge of the array's plane seen looking up the slope, y up the slope, both on the surface as origins and obstructions are given; height square to the roof from any one level, of every foot or of none; fields parted by commas or by semicolons"`
	Tolerance    Quantity      `key:"tolerance" dim:"length" positive:"yes" doc:"distance within which a surveyed point belongs to a planned foot"`
	Straightness Quantity      `key:"straightness" dim:"length" positive:"yes" doc:"largest distance of a foot from the line of its row that the crew works to"`
	Points       []SurveyPoint `key:"-"`
}

// SurveyPoint is one surveyed attachment point, in metres on the surface.
type SurveyPoint struct {
	Array        string
	ArrayAt      source.Span // where the file names the array
	X, Y, Height float64
	HeightKnown  bool
	At           source.Span
}

// Deviation is leave to depart from a check at one thing: granted where it stands
// in a file of the authority, claimed where it stands in a job.
type Deviation struct {
	Check     Text        `key:"check" required:"yes" doc:"the check it excuses, such as fire/ridge-strip"`
	Subject   Text        `key:"subject" required:"yes" doc:"the one thing it excuses, by its whole name as reports print it"`
	Reason    Text        `key:"reason" required:"yes" doc:"why it was accepted"`
	By        Text        `key:"by" required:"yes" doc:"who of the authority accepted it"`
	Date      Text        `key:"date" required:"yes" doc:"the day on which it was accepted, such as 2026-03-02"`
	Until     Text        `key:"until" absent:"it has no end" doc:"the last day on which it holds, such as 2027-03-02; held against the date of the review"`
	Reference Text        `key:"reference" required:"yes" doc:"the letter or record in which it was accepted"`
	At        source.Span `key:"-"`
}

// Entity is what every named thing of a job has.
type Entity struct {
	Name Text        `key:"name" required:"yes" doc:"its name, unique among its kind"`
	At   source.Span `key:"-"` // its table header
}
