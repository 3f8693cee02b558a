package draft

import (
	"maps"
	"os"
	"strings"
	"testing"

	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// structure lists what a draft says without having been told it: what follows
// from the shape of the roof or from how the parts are wired, a reason each. None
// of it is an engineering value.
var structure = map[string]string{
	"standard":                          "names of sets of labels and papers, by edition, scheme, building and connection",
	"project.storage":                   "drafts are of systems without storage",
	"building.dwelling":                 "by the answer to building",
	"building.detached_accessory":       "by the answer to building",
	"plane.outline":                     "from the dimensions of the roof",
	"plane.slope":                       "as it was said for the planes of its kind",
	"plane.downslope":                   "from the bearing of the front",
	"plane.eave_elevation":              "from the height of the eave, and the lower planes of a gambrel",
	"plane.framing.runs":                "rafters and trusses run up the slope, purlins along the eave",
	"inverter_type.kind":                "by the scheme",
	"array.rows":                        "as it was said for the array",
	"array.columns":                     "as it was said for the array",
	"array.orientation":                 "as it was said for the array",
	"array.across":                      "as it was said for the array",
	"array.setback_left":                "as it was said for the array",
	"array.setback_right":               "as it was said for the array",
	"array.below_ridge":                 "as it was said for the array",
	"array.above_eave":                  "as it was said for the array",
	"array.modules":                     "rows by columns",
	"array.lug.row":                     "one a row",
	"array.lug.column":                  "at the end that was said",
	"array.attachments.every":           "as it was said for the feet",
	"array.attachments.on":              "as it was said for the feet",
	"array.attachments.staggered":       "as it was said for the feet",
	"string.other_arrays":               "modules that a string takes of further arrays",
	"string.modules":                    "as it was said for the strings",
	"string.input":                      "counted",
	"inverter.count":                    "microinverters of an array",
	"inverter.place":                    "microinverters are on the roof",
	"circuit.kind":                      "by what it carries",
	"circuit.units":                     "as it was said for the branches",
	"overcurrent.dc":                    "it is on the AC side",
	"disconnect.purpose":                "by what it is drawn for",
	"panel.loads":                       "it gathers inverters",
	"rapid_shutdown.initiators":         "the PV disconnect is one",
	"rapid_shutdown.initiator_place":    "where the PV disconnect is",
	"rapid_shutdown.readily_accessible": "as the PV disconnect is",
	"document.kind":                     "a ballasted array stands by a calculation",
	"engineered.covers":                 "a ballasted array stands by a calculation",
	"one_line.modules":                  "counted",
	"one_line.strings":                  "counted",
	"one_line.inverters":                "counted",
	"one_line.main":                     "that of the service",
	"one_line.busbar":                   "that of the service",
}

// said are quantities of that list which must be words of an answer, by the
// answers that they may stand in.
var said = map[string][]string{
	"plane.slope":         {"slope", "lower-slope", "upper-slope"},
	"array.setback_left":  {"array"},
	"array.setback_right": {"array"},
	"array.below_ridge":   {"array"},
	"array.above_eave":    {"array"},
	"one_line.main":       {"service-main"},
	"one_line.busbar":     {"service-busbar"},
}

func holdInvented(t *testing.T, a Answers, d *Document) {
	t.Helper()
	names := map[string]bool{`"service"`: true}
	for _, q := range []string{"module", "inverter", "converter", "mounting", "fastener"} {
		names[job.Quote(a.of(q))] = true // of a file of equipment
	}
	for _, table := range d.Tables {
		names[table.Name()] = true
	}
	hold := func(key string, e *Entry) {
		if e.Open() {
			return
		}
		for _, q := range Questions() {
			if q.key == key && a.of(q.Name) != "" && q.toml(a.of(q.Name)) == e.Value {
				return
			}
		}
		f, known := fieldOf(key)
		if reason := structure[key]; reason != "" {
			if known && f.Kind == job.KindQuantity && key != "plane.downslope" && key != "plane.eave_elevation" {
				var in string
				for _, q := range said[key] {
					in += a.of(q) + "; "
				}
				if !strings.Contains(in, strings.Trim(e.Value, `"`)) {
					t.Errorf("%s = %s is a quantity that nobody said", key, e.Value)
				}
			}
			return
		}
		last := key[strings.LastIndexByte(key, '.')+1:]
		switch {
		case last == "name":
			return
		case last == "like", known && (f.Ref != "" || len(f.AnyOf) > 0):
			for _, name := range strings.Split(strings.Trim(e.Value, "[]"), ", ") {
				if name != "" && !names[name] {
					t.Errorf("%s = %s names nothing", key, e.Value)
				}
			}
			return
		}
		t.Errorf("%s = %s came from no answer", key, e.Value)
	}
	for i := range d.Top {
		hold(d.Top[i].Key, &d.Top[i])
	}
	for _, table := range d.Tables {
		for i := range table.Entries {
			hold(table.Key+"."+table.Entries[i].Key, &table.Entries[i])
		}
	}
}

// No value of a draft is made up, however much or little was said.
func TestNothingIsMadeUp(t *testing.T) {
	every(t, func(t *testing.T, a Answers) {
		d, err := New(a)
		if err != nil {
			t.Fatal(err)
		}
		holdInvented(t, a, d)
		maps.Copy(a, Answers{"interconnection": supplySide, "mounting-kind": "rail", "feet": "every 2 members", "initiator": "pv-disconnect", "disconnect-place": "roof"})
		if d, err = New(a); err != nil {
			t.Fatal(err)
		}
		holdInvented(t, a, d)
	})
	read := func(name string) *source.File {
		text, err := os.ReadFile("../../testdata/drafts/" + name)
		if err != nil {
			t.Fatal(err)
		}
		return source.NewFile(name, text)
	}
	a := Answers{}
	for _, line := range strings.Split(string(read("hip-house.answers").Text), "\n") {
		if name, answer, ok := strings.Cut(line, " = "); ok {
			if before, twice := a[name]; twice {
				answer = before + "; " + answer
			}
			a[name] = answer
		}
	}
	for _, name := range []string{"firm.practice", "quillbeck.practice"} {
		habits, err := ReadAnswers(read(name))
		if err != nil {
			t.Fatal(err)
		}
		a = a.With(habits)
	}
	maps.Copy(a, Answers{"module": "M400", "inverter": "H76", "converter": "C440", "mounting": "flashed rail", "fastener": "lag 5/16 x 4"})
	a["equipment"] = "../../testdata/drafts/" + a["equipment"]
	d := made(t, a)
	holdInvented(t, a, d)
	stated := 0
	for _, table := range d.Tables {
		for _, e := range table.Entries {
			if !e.Open() {
				stated++
			}
		}
	}
	if stated < 120 {
		t.Errorf("%d values are stated", stated)
	}
}
