package draft

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

var (
	questions    []*Question
	questionsOne sync.Once
)

// Questions lists what a draft is made from, in the order in which it is asked.
// The list is the same for every caller, who must not change it.
func Questions() []*Question {
	questionsOne.Do(func() { questions = allQuestions() })
	return questions
}

func allQuestions() (list []*Question) {
	for _, s := range []struct {
		name      string
		questions []*Question
	}{
		{"Job", jobQuestions()},
		{"Building", buildingQuestions()},
		{"Codes", codeQuestions()},
		{"Site", siteQuestions()},
		{"Roof", roofQuestions()},
		{"Framing", framingQuestions()},
		{"Equipment", equipmentQuestions()},
		{"Arrays", arrayQuestions()},
		{"System", systemQuestions()},
		{"Service", serviceQuestions()},
		{"Circuits", circuitQuestions()},
		{"Disconnects", disconnectQuestions()},
		{"Grounding", groundingQuestions()},
	} {
		for _, q := range s.questions {
			q.Section = s.name
			list = append(list, q)
		}
	}
	return list
}

// The words of the questions that more follows from than one value.
const (
	dwelling     = "dwelling"
	accessory    = "detached-accessory"
	agricultural = "agricultural"
	commercial   = "commercial"

	gable, hip, shed, flat, gambrel = "gable", "hip", "shed", "flat", "gambrel"

	ofStrings, ofConverters, ofMicros = "string", "converter", "micro"

	busbar, supplySide = "busbar", "supply-side"
)

func jobQuestions() []*Question {
	return []*Question{
		required(stated("name", "project.name")),
		stated("address", "project.address"),
		stated("authority", "project.authority"),
		stated("owner", "project.owner"),
		stated("designer", "project.designer"),
		stated("contractor", "project.contractor"),
		stated("licence", "project.licence"),
		stated("scope", "project.scope"),
		stated("permit", "project.permit"),
		stated("existing-pv", "project.existing_pv"),
		stated("resubmittal", "project.resubmittal"),
		otherwise("US", stated("units", "project.units")),
	}
}

func codeQuestions() []*Question {
	return []*Question{
		stated("nec", "adoption.nec"),
		stated("irc", "adoption.irc"),
		stated("ibc", "adoption.ibc"),
		stated("ifc", "adoption.ifc"),
		stated("nfpa1", "adoption.nfpa1"),
		stated("asce7", "adoption.asce7"),
		stated("nds", "adoption.nds"),
		stated("s100", "adoption.s100"),
	}
}

func buildingQuestions() []*Question {
	return []*Question{
		{Name: "building", Asks: "What the building is", Words: []string{dwelling, accessory, agricultural, commercial}, Required: true,
			Help: "dwelling: a one- or two-family house or townhouse; detached-accessory: a garage or shed that nobody lives in and that stands apart from one"},
		stated("occupancy", "building.occupancy"),
		stated("sprinklered", "building.sprinklered"),
		stated("roof-class", "building.roof_class"),
		stated("parapet", "building.parapet_height"),
		stated("smoke-vents", "building.smoke_vents"),
		stated("enclosure", "building.enclosure"),
	}
}

func siteQuestions() []*Question {
	return []*Question{
		toward("street", "site.street_bearing"),
		stated("exposure", "site.exposure"),
		stated("risk-category", "site.risk_category"),
		stated("wind-speed", "site.wind_speed"),
		stated("wind-speed-source", "site.wind_speed_source"),
		stated("ground-snow", "site.ground_snow"),
		stated("ground-snow-edition", "site.ground_snow_edition"),
		stated("record-low", "site.record_low"),
		stated("record-low-source", "site.record_low_source"),
		stated("design-high", "site.design_high"),
		stated("elevation", "site.elevation"),
		stated("sds", "site.sds"),
	}
}

func roofQuestions() []*Question {
	length := func(name, asks, help string) *Question {
		return &Question{Name: name, Asks: asks, Help: help, Form: `a length, such as "48 ft"`, Check: aLength, Required: true}
	}
	slope := func(name, asks string, applies func(Answers) bool) *Question {
		return &Question{Name: name, Asks: asks, Form: `a slope, such as "6:12" or "26 deg"`, Check: aSlope, Required: true, Applies: applies,
			Help: "a level and a rule on the rafter or on the gable's trim"}
	}
	return []*Question{
		{Name: "roof", Asks: "What shape the roof has", Words: []string{gable, hip, shed, flat, gambrel}, Required: true,
			Help: "its planes are named front and back, on a hip roof left and right too, seen from before the front; those of a gambrel lower front, upper front, upper back and lower back; that of a shed or flat roof is named roof"},
		length("length", "Length of the roof along its front, in plan", "a tape along the front eave from end to end of the roof, overhangs included"),
		length("width", "Depth of the roof from front to back, in plan", "a tape on the level from front to back of the roof, overhangs included"),
		slope("slope", "Slope of the roof", not("roof", gambrel)),
		slope("lower-slope", "Slope of the lower planes", is("roof", gambrel)),
		slope("upper-slope", "Slope of the upper planes", is("roof", gambrel)),
		{Name: "break", Asks: "Distance in plan from the eave to the break between lower and upper plane", Form: `a length, such as "6 ft"`,
			Help: "a plumb line from the break, and a tape on the level from the eave to it", Check: aLength, Required: true, Applies: is("roof", gambrel)},
		length("eave-height", "Height of the eave above the ground", "a tape from the ground to the lowest edge of the roof"),
		{Name: "front", Asks: "Bearing that the front eave faces", Form: bearingForm,
			Help: "the site plan; water runs off the front plane this way, on a shed or flat roof off the whole of it", Check: aBearing, Required: true},
		stated("covering", "plane.covering.kind"),
		stated("sheathing", "plane.covering.sheathing"),
		stated("roof-layers", "building.roof_layers"),
		stated("escape-opening", "plane.below_escape_opening"),
	}
}

func framingQuestions() []*Question {
	return []*Question{
		stated("framing", "plane.framing.member"),
		stated("framing-material", "plane.framing.material"),
		stated("framing-spacing", "plane.framing.spacing"),
		stated("framing-width", "plane.framing.width"),
		stated("framing-depth", "plane.framing.depth"),
		stated("framing-span", "plane.framing.span"),
		stated("framing-offset", "plane.framing.offset"),
		applies(not("framing", "rafter", "truss", "purlin"), stated("framing-runs", "plane.framing.runs")),
		applies(not("framing-material", "steel"), stated("species", "plane.framing.species")),
		applies(not("framing-material", "steel"), stated("grade", "plane.framing.grade")),
		applies(not("framing-material", "steel"), stated("wet-wood", "plane.framing.wet")),
		applies(not("framing-material", "steel"), stated("framing-braced", "plane.framing.braced")),
		applies(is("framing-material", "steel"), stated("framing-thickness", "plane.framing.thickness")),
		applies(is("framing-material", "steel"), stated("framing-tensile", "plane.framing.tensile")),
	}
}

func equipmentQuestions() []*Question {
	name := func(of, what string, applies func(Answers) bool) *Question {
		return &Question{Name: of, Asks: "Name of the " + what, Help: "as its entry in the equipment files is named, or a name to fill in an entry under; left out, the only one that they have",
			Form: "a name", Default: of, Applies: applies}
	}
	return []*Question{
		{Name: "equipment", Asks: "Folder or files that hold your equipment", Form: "the name of a folder, or names of TOML files parted by commas",
			Help: "files with module_type, inverter_type and their like, as jobs share them; plumbrule equipment writes them from a list"},
		name("module", "module type", nil),
		name("inverter", "inverter type", nil),
		name("converter", "DC-to-DC converter type", is("scheme", ofConverters)),
		name("mounting", "mounting type", nil),
		name("fastener", "fastener type", not("mounting-kind", "ballast")),
		stated("mounting-kind", "mounting_type.kind"),
	}
}

func arrayQuestions() []*Question {
	return []*Question{
		{Name: "array", Asks: "Which planes carry modules, and how many", Form: arrayForm, Check: arraysSaid, Required: true, Many: true,
			Help: "the roof plan; distances are measured on the surface of the roof"},
		stated("gap-x", "array.gap_x"),
		stated("gap-y", "array.gap_y"),
		stated("stand-off", "array.stand_off"),
		stated("tilt", "array.tilt"),
		stated("skirt", "array.skirt"),
		applies(not("mounting-kind", "ballast"), stated("rails", "array.attachments.lines")),
		{Name: "feet", Asks: "Which ribs or members the feet stand on", Form: `"every 3 members" or "every 2 ribs", with "staggered" behind it where each second rail begins between`,
			Help: "the roof plan, or the mounting maker's spans", Check: feetSaid, Applies: not("mounting-kind", "ballast")},
		applies(not("mounting-kind", "ballast"), stated("fasteners-each", "array.attachments.fasteners_each")),
		{Name: "lugs", Asks: "At which end of each row a lug joins the equipment grounding conductor", Words: []string{"left", "right"},
			Help: "the roof plan; seen looking up the slope"},
		applies(is("lugs", "left", "right"), asking("Whether the lug is listed for the module or rail it grounds", stated("lugs-listed", "array.lug.listed"))),
	}
}

func systemQuestions() []*Question {
	return []*Question{
		{Name: "scheme", Asks: "How the modules feed the building", Words: []string{ofStrings, ofConverters, ofMicros}, Required: true,
			Help: "string: string inverters; converter: inverters fed by DC-to-DC converters at the modules; micro: microinverters"},
		{Name: "strings", Asks: "Modules in each string", Form: `whole numbers parted by commas, inverters parted by semicolons: "11, 11" or "12, 12; 10"`,
			Help: "the one-line diagram; the strings take the modules of the arrays in their order", Check: countsSaid, Required: true, Applies: not("scheme", ofMicros)},
		applies(is("scheme", ofConverters), stated("modules-each-converter", "string.modules_each_converter")),
		{Name: "branches", Asks: "Microinverters on each branch circuit", Form: `whole numbers parted by commas: "11, 11"`,
			Help: "the one-line diagram; the branch circuits take the microinverters of the arrays in their order", Check: branchesSaid, Required: true, Applies: is("scheme", ofMicros)},
		applies(not("scheme", ofMicros), asking("Where the inverters stand", stated("inverter-place", "inverter.place"))),
		applies(is("scheme", ofMicros), otherwise("1", stated("modules-each-inverter", "inverter_type.modules_each"))),
		stated("shutdown", "rapid_shutdown.method"),
		asking("What starts rapid shutdown", stated("initiator", "rapid_shutdown.initiator")),
		applies(not("initiator", "pv-disconnect"), stated("initiator-place", "rapid_shutdown.initiator_place")),
	}
}

func serviceQuestions() []*Question {
	return []*Question{
		asking("Nominal voltage of the service", stated("service-voltage", "service.voltage")),
		asking("System of the service", stated("service-system", "service.system")),
		stated("service-rating", "service.rating"),
		stated("service-main", "service.main"),
		stated("service-busbar", "service.busbar"),
		stated("service-conductor", "service.conductor"),
		stated("service-material", "service.material"),
		otherwise(busbar, narrowed([]string{busbar, supplySide}, asking("How the system connects to the service", stated("interconnection", "interconnection.kind")))),
		applies(is("interconnection", busbar), stated("busbar-option", "interconnection.option")),
		applies(is("interconnection", busbar), stated("busbar-position", "interconnection.position")),
		{Name: "other-sources", Asks: "Whether another source reaches the busbar", Words: []string{"none"}, key: "interconnection.other_sources",
			Help:  "none: no generator, battery or other array; leave it open where there is one, and list its output current in the job",
			value: func(string) string { return "[]" }},
		stated("utility-approval", "interconnection.utility_approval"),
		stated("photo-of-label", "service.photo_of_label"),
		stated("load-calculation", "service.load_calculation"),
	}
}

func circuitQuestions() []*Question {
	dc := not("scheme", ofMicros)
	side := func(when func(Answers) bool, which, what string, q *Question) *Question {
		q.side, q.Asks = which, q.Asks+", "+what
		return applies(when, q)
	}
	list := []*Question{
		stated("conductor-material", "circuit.material"),
		stated("conductor-voltage", "circuit.voltage_rating"),
		stated("terminal", "circuit.terminal"),
		stated("ground-material", "circuit.ground_material"),
		stated("ground-exposed", "circuit.ground_exposed"),
	}
	for _, q := range []struct{ name, key string }{
		{"conductor", "conductor"}, {"insulation", "insulation"}, {"ground", "ground"}, {"raceway", "raceway"}, {"trade-size", "trade_size"}, {"contents", "contents"}, {"place", "place"},
	} {
		list = append(list,
			side(dc, "dc", "of the circuits from the strings", stated("dc-"+q.name, "circuit."+q.key)),
			side(nil, "ac", "of the circuits behind the inverters", stated("ac-"+q.name, "circuit."+q.key)))
	}
	return append(list,
		side(dc, "dc", "of the circuits from the strings", stated("dc-connector", "circuit.connector")),
		&Question{Name: "shared-raceways", Asks: "Whether the like circuits share one raceway", Words: []string{"true", "false"},
			Help: "the site plan; like circuits are those of the strings, or the branch circuits; all others run alone"})
}

func disconnectQuestions() []*Question {
	return []*Question{
		asking("Where the disconnects stand", stated("disconnect-place", "disconnect.place")),
		asking("Enclosure type of the disconnects, such as 3R or 4", stated("disconnect-enclosure", "disconnect.enclosure")),
		asking("Whether the disconnects lock open", stated("disconnect-lockable", "disconnect.lockable")),
		asking("Whether the disconnects are readily accessible", stated("disconnect-accessible", "disconnect.readily_accessible")),
		asking("Whether the disconnects are rated to open under load", stated("disconnect-load-break", "disconnect.load_break")),
		asking("Whether the disconnects are within sight of their equipment", stated("disconnect-within-sight", "disconnect.within_sight")),
	}
}

func groundingQuestions() []*Question {
	return []*Question{
		stated("electrode", "grounding.electrode"),
		asking("Material of the grounding electrode", stated("electrode-material", "grounding.electrode_material")),
		stated("electrode-conductor", "grounding.electrode_conductor"),
		stated("array-ground", "grounding.array_conductor"),
		asking("Material of the conductor from the lugs", stated("array-ground-material", "grounding.array_material")),
		asking("Whether the conductor from the lugs is exposed to damage", stated("array-ground-exposed", "grounding.array_exposed")),
	}
}

// asking words a question whose key says what it means only beside its table.
func asking(words string, q *Question) *Question {
	q.Asks = words
	return q
}

func required(q *Question) *Question {
	q.Required = true
	return q
}

// otherwise gives a question what holds where it is not answered.
func otherwise(answer string, q *Question) *Question {
	q.Default = answer
	return q
}

func applies(when func(Answers) bool, q *Question) *Question {
	q.Applies = when
	return q
}

// narrowed leaves a question those of its words that a draft can be made from.
func narrowed(words []string, q *Question) *Question {
	q.Words = words
	return q
}

// not makes a condition of an answer that is none of several words.
func not(name string, words ...string) func(Answers) bool {
	return func(a Answers) bool { return !slices.Contains(words, a.of(name)) }
}

func upper(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

// formOf says in words what a key holds that takes no choice of words.
func formOf(f *job.Field) string {
	switch f.Kind {
	case job.KindQuantity:
		return withArticle(f.Dim.String()) + ", such as " + f.Example(quantity.US, nil)
	case job.KindQuantities:
		return withArticle(f.Dim.String()) + " or several parted by commas, such as " + f.Example(quantity.US, nil)
	case job.KindCount:
		return "a whole number"
	case job.KindNumber:
		return "a number"
	case job.KindSize:
		return `a conductor size, such as "10 AWG"`
	}
	return ""
}

func withArticle(words string) string {
	if strings.ContainsRune("aeio", rune(words[0])) {
		return "an " + words
	}
	return "a " + words
}

// longest bounds the sides of a roof, in metres.
const longest = 1000

// aLength refuses what is no length of a roof.
func aLength(answer string) error {
	_, err := lengthOf(answer)
	return err
}

func lengthOf(answer string) (quantity.Value, error) {
	v, err := quantity.Parse(answer, quantity.Length)
	if err == nil && !(v.SI > 0 && v.SI <= longest) {
		err = fmt.Errorf("%q is out of range; above zero and at most %d m is expected", answer, longest)
	}
	return v, err
}

// aSlope refuses what is no slope that a roof can be drawn with.
func aSlope(answer string) error {
	f, _ := fieldOf("plane.slope")
	if _, err := f.Said(pitch(answer)); err != nil {
		return fmt.Errorf("%w; a slope is written as 6:12 or \"26 deg\"", err)
	}
	return nil
}

// compassWords are the bearings that have names, clockwise from north.
var compassWords = []string{"north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"}

// bearingForm is how a bearing is said.
var bearingForm = "a bearing clockwise from north, such as \"165 deg\", or one of " + strings.Join(compassWords, ", ")

// toward makes a question of a key that holds a bearing, for which the winds have
// names too.
func toward(name, key string) *Question {
	q := stated(name, key)
	q.Form, q.Check = bearingForm, aBearing
	q.value = func(answer string) string {
		degrees, _ := bearingOf(answer) // what is wrong with it is said before
		return bearing(degrees)
	}
	return q
}

// aBearing refuses what is no bearing.
func aBearing(answer string) error {
	_, err := bearingOf(answer)
	return err
}

// bearingOf is a bearing in degrees clockwise from north, from 0 to below 360.
func bearingOf(answer string) (float64, error) {
	answer = strings.TrimSpace(answer)
	if i := slices.Index(compassWords, answer); i >= 0 {
		return 45 * float64(i), nil
	}
	v, err := quantity.Parse(answer, quantity.Angle)
	if err != nil {
		return 0, fmt.Errorf("found %q; a bearing such as \"165 deg\" or one of %s is expected%s", answer, strings.Join(compassWords, ", "), quantity.DidYouMean(answer, compassWords))
	}
	if v.SI < -360 || v.SI > 360 {
		return 0, fmt.Errorf("%q is out of range; from -360 to 360 deg is expected", answer)
	}
	turned := v.SI
	if turned < 0 {
		turned += 360
	}
	if turned >= 360 {
		turned -= 360
	}
	return turned, nil
}
