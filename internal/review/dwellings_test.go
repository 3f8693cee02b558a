package review

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// roofPlane is a plane of an invented roof: corners in feet, slope in 12, the
// bearing it falls to, and the height of its lowest edge in feet.
type roofPlane struct {
	name    string
	corners [][2]float64
	slope   float64
	falls   float64
	eave    float64
}

// block is an array of modules of 3 ft by 5 ft without gaps, its lower left
// corner in feet on the surface of its plane.
type block struct {
	plane         string
	x, y          float64
	columns, rows int
}

// dwelling writes the job of a dwelling with a roof and the arrays on it. The
// street is in the south.
func dwelling(planes []roofPlane, blocks []block) string {
	var b strings.Builder
	fmt.Fprintf(&b, `
[project]
name = "invented roof"
units = "US"
[adoption]
irc = "2021"
ifc = "2021"
[site]
street_bearing = "180 deg"
[building]
occupancy = "R-3"
dwelling = true
detached_accessory = false
sprinklered = false
[[module_type]]
name = "three by five"
width = "3 ft"
length = "5 ft"
`)
	for _, p := range planes {
		fmt.Fprintf(&b, "[[plane]]\nname = %q\nslope = \"%v:12\"\ndownslope = \"%v deg\"\neave_elevation = \"%v ft\"\nweak_rake = \"0 in\"\noutline = [", p.name, p.slope, p.falls, p.eave)
		for _, c := range p.corners {
			fmt.Fprintf(&b, "[\"%v ft\", \"%v ft\"], ", c[0], c[1])
		}
		b.WriteString("]\n")
	}
	for i, a := range blocks {
		fmt.Fprintf(&b, "[[array]]\nname = \"array %d\"\nplane = %q\nmodule = \"three by five\"\norigin = [\"%v ft\", \"%v ft\"]\nrows = %d\ncolumns = %d\norientation = \"portrait\"\ngap_x = \"0 in\"\ngap_y = \"0 in\"\nbuilding_integrated = false\n",
			i+1, a.plane, a.x, a.y, a.rows, a.columns)
	}
	return b.String()
}

func rect(x0, y0, x1, y1 float64) [][2]float64 {
	return [][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// gable is 40 ft by 28 ft with its ridge from west to east.
var gable = []roofPlane{
	{"south", rect(0, 0, 40, 14), 6, 180, 9},
	{"north", rect(0, 14, 40, 28), 6, 0, 9},
}

// gambrel is as long and as wide, with steep lower slopes of 6 ft in plan.
var gambrel = []roofPlane{
	{"south low", rect(0, 0, 40, 6), 20, 180, 9},
	{"south high", rect(0, 6, 40, 14), 6, 180, 19},
	{"north high", rect(0, 14, 40, 22), 6, 0, 19},
	{"north low", rect(0, 22, 40, 28), 20, 0, 9},
}

// hip is as long and as wide, with hips of 45 degrees in plan.
var hip = []roofPlane{
	{"south", [][2]float64{{0, 0}, {40, 0}, {26, 14}, {14, 14}}, 6, 180, 9},
	{"east", [][2]float64{{40, 0}, {40, 28}, {26, 14}}, 6, 90, 9},
	{"north", [][2]float64{{40, 28}, {0, 28}, {14, 14}, {26, 14}}, 6, 0, 9},
	{"west", [][2]float64{{0, 28}, {0, 0}, {14, 14}}, 6, 270, 9},
}

// dormered is the gable with its south slope drawn round a dormer of 10 ft.
var dormered = []roofPlane{
	{"left", rect(0, 0, 15, 14), 6, 180, 9},
	{"below", rect(15, 0, 25, 2), 6, 180, 9},
	{"above", rect(15, 10, 25, 14), 6, 180, 14},
	{"right", rect(25, 0, 40, 14), 6, 180, 9},
	{"north", rect(0, 14, 40, 28), 6, 0, 9},
}

func with(planes []roofPlane, more ...roofPlane) []roofPlane {
	return append(slices.Clone(planes), more...)
}

// closed shuts the north slope of a roof from rake to rake but for 6 in.
var closedNorth = block{"north", 0.5, 1, 13, 2}

// verdicts reviews a job by some checks and gives the worst result of each,
// and the least measure that goes with it in words.
func verdicts(t *testing.T, text string, checks ...string) map[string]string {
	t.Helper()
	b, tables := book(t)
	j, err := job.Parse("roof.toml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(j, b, tables, Options{Only: checks})
	if err != nil {
		t.Fatal(err)
	}
	rank := []Result{NotApplicable, Met, Undetermined, NotMet}
	worst := map[string]*Outcome{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		have := worst[o.Check.ID]
		if have == nil || slices.Index(rank, o.Result) > slices.Index(rank, have.Result) ||
			o.Result == have.Result && o.Measure != nil && have.Measure != nil && o.Measure.Value < have.Measure.Value {
			worst[o.Check.ID] = o
		}
	}
	out := map[string]string{}
	for id, o := range worst {
		out[strings.TrimPrefix(id, "fire/")] = string(o.Result)
		if o.Measure != nil && o.Result != Undetermined && o.Result != NotApplicable {
			out[strings.TrimPrefix(id, "fire/")] += " " + o.Measure.Text
		}
	}
	return out
}

var waysUp = []string{"fire/pathway-on-array-plane", "fire/two-pathways", "fire/street-side-pathway", "fire/pathways-on-one-slope", "fire/ridge-strip"}

// The arithmetic: modules from rake to rake leave 6 in. A slope of 6 in 12 is
// 1.118 ft long for each foot in plan, one of 20 in 12 1.944 ft.
func TestPathwaysOnInventedRoofs(t *testing.T) {
	for _, c := range []struct {
		about  string
		planes []roofPlane
		blocks []block
		want   map[string]string // a check and what its verdict begins with
	}{
		{"gable open on the west by 4 ft", gable, []block{{"south", 4, 1, 12, 2}, closedNorth},
			map[string]string{"pathway-on-array-plane": "met 48 in", "street-side-pathway": "met 48 in", "two-pathways": "not met 6 in"}},
		{"gambrel covered low", gambrel, []block{{"south low", 0.5, 0.5, 13, 2}, {"north low", 0.5, 0.5, 13, 2}},
			map[string]string{"pathway-on-array-plane": "not met 6 in", "street-side-pathway": "not met 6 in", "two-pathways": "not met 6 in", "ridge-strip": "met"}},
		{"gambrel covered high", gambrel, []block{{"south high", 0.5, 0.5, 13, 1}, {"north high", 0.5, 0.5, 13, 1}},
			map[string]string{"pathway-on-array-plane": "not met 6 in", "street-side-pathway": "not met 6 in", "two-pathways": "not met 6 in"}},
		{"gambrel covered low in the east and high in the west: the way bends between them", gambrel, []block{{"south low", 22, 0.5, 6, 2}, {"south high", 0, 3.5, 6, 1}},
			map[string]string{"pathway-on-array-plane": "met", "street-side-pathway": "met", "two-pathways": "met"}},
		{"gambrel open from the eave to the ridge", gambrel, []block{{"south low", 3, 0.5, 12, 2}, {"south high", 3, 0.5, 12, 1}},
			map[string]string{"pathway-on-array-plane": "met", "street-side-pathway": "met 36 in", "two-pathways": "met 36 in"}},
		// 11.662 ft of lower slope less 10 ft of modules, and the 8.944 ft of the upper one.
		{"strip below the ridge of a gambrel, from its lower slope", gambrel, []block{{"south low", 3, 1.662, 12, 2}},
			map[string]string{"ridge-strip": "met 8.94 ft"}},
		{"slope drawn round a dormer, both parts beside it covered", dormered, []block{{"left", 0, 1, 5, 2}, {"right", 0, 1, 5, 2}, closedNorth},
			map[string]string{"pathway-on-array-plane": "not met", "street-side-pathway": "not met", "two-pathways": "not met"}},
		{"slope drawn round a dormer, open beside it", dormered, []block{{"left", 0, 1, 3, 2}, {"right", 0, 1, 5, 2}, closedNorth},
			map[string]string{"pathway-on-array-plane": "met 72 in", "street-side-pathway": "met 72 in", "two-pathways": "not met 6 in"}},
		{"porch below the eave of a closed gable", with(gable, roofPlane{"porch", rect(10, -10, 30, 0), 3, 180, 4}), []block{{"south", 0.5, 1, 13, 2}, closedNorth},
			map[string]string{"pathway-on-array-plane": "not met", "street-side-pathway": "not met", "two-pathways": "not met"}},
		{"two bay roofs below the eaves of a closed gable", with(gable, roofPlane{"south bay", rect(10, -4, 15, 0), 6, 180, 5}, roofPlane{"north bay", rect(10, 28, 15, 32), 6, 0, 5}),
			[]block{{"south", 0.5, 1, 13, 2}, closedNorth},
			map[string]string{"pathway-on-array-plane": "not met", "street-side-pathway": "not met", "two-pathways": "not met"}},
		{"one slope in two halves is one slope", []roofPlane{
			{"south west", rect(0, 0, 20, 14), 6, 180, 9}, {"south east", rect(20, 0, 40, 14), 6, 180, 9}, gable[1]},
			[]block{{"south west", 5, 1, 5, 2}, {"south east", 0, 1, 5, 2}, closedNorth},
			map[string]string{"pathway-on-array-plane": "met 60 in", "street-side-pathway": "met 60 in", "two-pathways": "not met 6 in"}},
		// South of the hip the array leaves 28.3 in, west of it 10.4 in (3.16 ft and 1.16 ft along the eave times 0.745), at corners that lie
		// 16 in apart along the hip: 41.8 in.
		{"way that straddles a hip on the street side", hip, []block{{"south", 13, 1, 5, 2}, {"west", 11, 1, 2, 2}, {"east", 11, 1, 2, 2}},
			map[string]string{"street-side-pathway": "met 41.84", "pathway-on-array-plane": "met"}},
		{"hip roof closed on the street side", hip, []block{{"south", 11, 1, 6, 2}, {"west", 11, 1, 2, 2}, {"east", 11, 1, 2, 2}},
			map[string]string{"street-side-pathway": "not met 20.7"}},
		{"shed roof with room on both sides of its array", gable[:1], []block{{"south", 4, 1, 10, 2}},
			map[string]string{"two-pathways": "met 48 in", "pathways-on-one-slope": "not met", "street-side-pathway": "met 72 in"}},
		{"shed roof with room on one side", gable[:1], []block{{"south", 1.1, 1, 11, 2}},
			map[string]string{"two-pathways": "not met 35.4 in", "pathways-on-one-slope": "not met", "street-side-pathway": "met 70.8 in"}},
	} {
		got := verdicts(t, dwelling(c.planes, c.blocks), waysUp...)
		for check, want := range c.want {
			if !strings.HasPrefix(got[check], want) {
				t.Errorf("%s: %s is %q, want %q", c.about, check, got[check], want)
			}
		}
	}
}

// Without the height of a plane nobody knows which planes meet.
func TestPathwaysWithoutHeight(t *testing.T) {
	for _, name := range []string{"south low", "south high", "north high"} {
		var text []string
		for _, part := range strings.Split(dwelling(gambrel, []block{{"south low", 4, 1, 8, 1}}), "[[plane]]\n") {
			if strings.HasPrefix(part, fmt.Sprintf("name = %q\n", name)) {
				from := strings.Index(part, "eave_elevation")
				part = part[:from] + part[from+strings.Index(part[from:], "\n")+1:]
			}
			text = append(text, part)
		}
		got := verdicts(t, strings.Join(text, "[[plane]]\n"), waysUp...)
		for _, check := range []string{"pathway-on-array-plane", "two-pathways", "street-side-pathway"} {
			if got[check] != string(Undetermined) {
				t.Errorf("without the height of %s: %s is %q", name, check, got[check])
			}
		}
	}
}

// Drawing a slope in two coplanar parts, with the array across the joint in two
// parts as well, changes no verdict and no number of any check of roof access.
func TestCoplanarHalvesChangeNothing(t *testing.T) {
	b, _ := book(t)
	var checks []string
	for _, c := range b.Checks {
		if strings.HasPrefix(c.ID, "fire/") && (hasCite(c, "IRC") || c.ID == "fire/street-agrees") {
			checks = append(checks, c.ID)
		}
	}
	halves := []roofPlane{{"south west", rect(0, 0, 20, 14), 6, 180, 9}, {"south east", rect(20, 0, 40, 14), 6, 180, 9}, gable[1]}
	for _, x := range []float64{2, 5, 8}[:(3+share()-1)/share()] { // the columns before the joint end at it
		for _, rest := range []int{2, 5} {
			for _, edition := range []string{"2021", "2015"} {
				for _, street := range []string{"180", "90", "240"} {
					change := strings.NewReplacer(`"2021"`, `"`+edition+`"`, `"180 deg"`+"\n[building]", `"`+street+` deg"`+"\n[building]")
					columns := int(20-x) / 3
					one := verdicts(t, change.Replace(dwelling(gable, []block{{"south", x, 2, columns, 2}, {"south", 20, 2, rest, 2}, closedNorth})), checks...)
					two := verdicts(t, change.Replace(dwelling(halves, []block{{"south west", x, 2, columns, 2}, {"south east", 0, 2, rest, 2}, closedNorth})), checks...)
					for id, v := range one {
						if two[id] != v {
							t.Errorf("array from %v ft, %d columns on the east, %s, street at %s: %s is %q on one plane and %q on two", x, rest, edition, street, id, v, two[id])
						}
					}
				}
			}
		}
	}
}

func hasCite(c *codebook.Check, code string) bool {
	return slices.ContainsFunc(c.Cites, func(x codebook.Citation) bool { return x.Code == code })
}

// The code that a dwelling follows, and its edition; "" is undetermined.
func TestGoverningCodeOfDwelling(t *testing.T) {
	b, tables := book(t)
	for _, c := range []struct{ designed, irc, ifc, nfpa, code, edition string }{
		{"", "2021", "2018", "", "IRC", "2021"},
		{"", "2015", "2018", "", "IRC", "2015"},
		{"IRC", "2015", "2018", "", "IRC", "2015"},
		{"IBC", "2015", "2018", "", "IFC", "2018"},
		{"IBC", "2021", "", "2018", "NFPA 1", "2018"},
		{"", "2012", "2015", "", "IFC", "2015"}, // the IRC of 2012 has no such rules
		{"", "2012", "", "", "IRC", "2012"},
		{"", "", "2015", "", "IFC", "2015"},
		{"", "", "", "2021", "NFPA 1", "2021"},
		{"", "2024", "", "", "IRC", "2024"},
		{"IRC", "", "2018", "", "IRC", ""},
		{"", "", "2018", "2018", "", ""},
		{"", "", "", "", "", ""},
	} {
		text := "project.name = \"x\"\nbuilding.dwelling = true\nbuilding.occupancy = \"R-3\"\n"
		for key, v := range map[string]string{"building.designed_under": c.designed, "adoption.irc": c.irc, "adoption.ifc": c.ifc, "adoption.nfpa1": c.nfpa} {
			if v != "" {
				text += fmt.Sprintf("%s = %q\n", key, v)
			}
		}
		j, err := job.Parse("job.toml", []byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		for term, want := range map[string]string{"dwelling_access_code": c.code, "dwelling_access_edition": c.edition} {
			m := terms.New(j, tables)
			s := m.Subjects("adoption")[0]
			v := m.Value(s, b.Words.Term(s.Kind, term))
			if got, _ := v.V.(string); got != want || (want == "") != (len(v.Needs) > 0) {
				t.Errorf("%+v: %s is %q with needs %v", c, term, got, v.Needs)
			}
		}
	}
}

// Only the code that governs a dwelling is cited, and its edition alone decides
// what is asked.
func TestOnlyTheGoverningCodeIsCited(t *testing.T) {
	b, tables := book(t)
	for _, c := range []struct{ irc, fire, designed, want string }{
		{"2021", "ifc = \"2015\"", "IRC", "IRC 2021"},
		{"2015", "ifc = \"2021\"", "IRC", "IRC 2015"},
		{"2021", "ifc = \"2015\"", "IBC", "IFC 2015"},
		{"2021", "nfpa1 = \"2018\"", "IBC", "NFPA 1 2018"},
	} {
		text := strings.NewReplacer("irc = \"2021\"", fmt.Sprintf("irc = %q", c.irc), "ifc = \"2021\"", c.fire, "[building]\n", fmt.Sprintf("[building]\ndesigned_under = %q\n", c.designed)).
			Replace(dwelling(gable, []block{{"south", 4, 1, 8, 2}}))
		j, err := job.Parse("roof.toml", []byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := Run(j, b, tables, Options{Only: []string{"fire/ridge-strip"}})
		if err != nil {
			t.Fatal(err)
		}
		o := r.Outcomes[0]
		if len(o.Cites) != 1 || o.Cites[0].Code+" "+o.Cites[0].Edition != c.want {
			t.Errorf("%+v: cited are %v", c, o.Cites)
		}
	}
}
