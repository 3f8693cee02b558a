package equipment

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"plumbrule/internal/guide"
	"plumbrule/internal/job"
	"plumbrule/rules"
)

// The lists are made up: makers, models and values are of nobody. They have
// every trap that was seen in a public one.
const (
	moduleList   = "../../testdata/lists/modules.csv"
	inverterList = "../../testdata/lists/inverters.csv"
)

func known(t testing.TB) []*Description {
	t.Helper()
	d, err := Descriptions(rules.FS, Folder)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func file(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func read(t testing.TB, name string) *List {
	t.Helper()
	l, err := Read(name, file(t, name), known(t))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestListIsToldByItsHeadings(t *testing.T) {
	l := read(t, moduleList)
	if l.Name != "modules" || l.Kind != "module_type" || len(l.Entries) != 10 {
		t.Fatalf("%s of %s with %d entries", l.Name, l.Kind, len(l.Entries))
	}
	if want := []string{"PV Module List - Full Data", "Data as of November 2, 2026 Manufacturers' self-reported information is not confirmed"}; !slices.Equal(l.Titles, want) {
		t.Errorf("titles %q", l.Titles)
	}
	if len(l.Lacks) > 0 {
		t.Errorf("the list lacks %q", l.Lacks)
	}
	l = read(t, inverterList)
	var names []string
	for _, e := range l.Entries {
		names = append(names, e.Name)
	}
	if want := []string{"OX 5.0, 240 V", "OX 5.0, 208 V", "T-380 micro, 240 V"}; l.Name != "inverters" || !slices.Equal(names, want) {
		t.Errorf("%s with %q, want %q", l.Name, names, want)
	}
}

func textOf(t *Type) map[string]string {
	m := map[string]string{}
	for _, v := range t.Values {
		m[v.Key] = v.Text
	}
	return m
}

func one(t *testing.T, l *List, name string) *Type {
	t.Helper()
	types, err := l.Types([]string{name})
	if err != nil {
		t.Fatal(err)
	}
	return types[0]
}

func TestTypesOfAList(t *testing.T) {
	l := read(t, moduleList)
	m := one(t, l, "quennell\u00a0works  qx-420") // two lines alike, padded cells, a number with noise
	want := map[string]string{"power": `"420 W"`, "voc": `"38.4 V"`, "vmp": `"31.7 V"`, "isc": `"14.02 A"`, "imp": `"13.25 A"`, "voc_coefficient": `"-0.259 %/°C"`,
		"vmp_coefficient": `"-0.33 %/°C"`, "length": `"1.722 m"`, "width": `"1.134 m"`, "crystalline": "true"}
	if got := textOf(m); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if m.Name != "QX-420" || m.Maker != "Quennell Works" || m.Date != "2024-05-01" || m.Line != 9 || len(m.Doubts) > 0 {
		t.Errorf("the type is %+v", m)
	}
	// What the list does not give is not there.
	m = one(t, l, "QX-430 BF")
	for _, key := range []string{"voc_coefficient", "crystalline", "maximum_series_fuse"} {
		if text, given := textOf(m)[key]; given {
			t.Errorf("%s is %s", key, text)
		}
	}
	if m.Date != "2024-03-15" { // the day of listing, where the other is not submitted
		t.Errorf("the line is of %q", m.Date)
	}
	// Coefficients that contradict one another, and a word that says nothing.
	m = one(t, l, "FH 60 P")
	if _, given := textOf(m)["vmp_coefficient"]; given || m.Doubts["vmp_coefficient"].Says != `"-0.22 %/°C"` || len(m.Doubts) != 1 {
		t.Errorf("the type is %+v", m)
	}
	m = one(t, l, "Oxlip QX-420")
	if _, given := textOf(m)["crystalline"]; given || m.Doubts["crystalline"].Says != "Perovskite" {
		t.Errorf("the type is %+v", m)
	}
	m = one(t, read(t, inverterList), "T-380 MICRO")
	if got := fmt.Sprint(textOf(m)); got != fmt.Sprint(map[string]string{"output": `"0.38 kW"`, "output_voltage": `"240 V"`}) || m.Date != "" || m.Name != "T-380 micro, 240 V" {
		t.Errorf("the type is %+v", m)
	}
}

// What is written loads in a job, with the values of the list in base units.
func TestTypesLoad(t *testing.T) {
	m := one(t, read(t, moduleList), "Quennell Works QX-420")
	var text strings.Builder
	fmt.Fprintf(&text, "[project]\nname = \"x\"\n[[%s]]\nname = %s\n", m.Kind, job.Quote(m.Name))
	for _, v := range m.Values {
		fmt.Fprintf(&text, "%s = %s\n", v.Key, v.Text)
	}
	j, err := job.Parse("job.toml", []byte(text.String()), nil)
	if err != nil {
		t.Fatal(err)
	}
	got := &j.ModuleTypes[0]
	for _, v := range []struct {
		q    job.Quantity
		want float64
	}{{got.Power, 420}, {got.Voc, 38.4}, {got.VocCoefficient, -0.00259}, {got.VmpCoefficient, -0.0033}, {got.Length, 1.722}, {got.Width, 1.134}, {got.Isc, 14.02}} {
		if d := v.q.Value.SI - v.want; !v.q.Known || d > 1e-12 || d < -1e-12 {
			t.Errorf("%s is %v, want %v", v.q.Key, v.q.Value.SI, v.want)
		}
	}
	if !got.Crystalline.Value || got.MaximumFuse.Known {
		t.Errorf("the type is %+v", got)
	}
}

func TestModelsRefused(t *testing.T) {
	l := read(t, moduleList)
	for name, want := range map[string]string{
		"FH-72":  moduleList + `:16:72: "FH-72": Nameplate Voc: 49500 V is out of range`,
		"FH-74":  moduleList + `:17:105: "FH-74": βVoc: -0.1 %/°C is beyond what the list can mean, from -0.5 %/degC to -0.15 %/degC; it was read in %/°C`,
		"FH-78":  moduleList + `:18:64: "FH-78": N_p: 5250 is beyond what the list can mean, from 1 to 50`,
		"MS 400": moduleList + `:20:13: "MS 400" stands in the list twice, with another βVoc; `,
		"QX-420": `--model "QX-420" is that of several entries`,
		"QX-421": `--model "QX-421": the list has no such model; did you mean "QX-420"?`,
		"FH":     `near to it are "FH 60 P", "FH-72", "FH-74", "FH-78"`,
		"zzz":    "without --model, the models of the list are printed",
		"":       `--model "": the list has no such model`,
	} {
		if _, err := l.Types([]string{name}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v\nwant %s", name, err, want)
		}
	}
	// Every fault of every model at once; the lines of a clash both.
	_, err := l.Types([]string{"FH-72", "FH-78", "MS 400", "QX-430 BF"})
	for _, want := range []string{"FH-72", "FH-78", "modules.csv:19:13: it is given here first"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
	if types, err := l.Types([]string{"QX-430 BF", "qx-430  bf"}); err != nil || len(types) != 1 {
		t.Errorf("one model named twice gives %d types, %v", len(types), err)
	}
	if _, err := l.Types([]string{"Oxlip QX-420", "Quennell Works QX-420"}); err == nil || !strings.Contains(err.Error(), "a name of two of the entries") {
		t.Errorf("got %v", err)
	}
	if _, err := read(t, inverterList).Types([]string{"OX 5.0"}); err == nil || !strings.Contains(err.Error(), "Oxlip OX 5.0, 208 V") {
		t.Errorf("got %v", err)
	}
}

// altered gives the module list with its records changed, written with a
// separator.
func altered(t *testing.T, separator rune, alter func(rows [][]string)) []byte {
	t.Helper()
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(file(t, moduleList)), "\uFEFF")))
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	alter(rows)
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Comma = separator
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	return []byte(b.String())
}

// The places of headings and units in the rows of the list; encoding/csv skips
// the blank line above them.
const (
	headings = 2
	units    = 3
)

func columnOf(rows [][]string, heading string) int { return slices.Index(rows[headings], heading) }

// A list reads the same whatever the order of its columns, what parts them,
// and where it says its units.
func TestListsWrittenOtherwise(t *testing.T) {
	want := textOf(one(t, read(t, moduleList), "Quennell Works QX-420"))
	for name, text := range map[string][]byte{
		"as it is": altered(t, ',', func([][]string) {}),
		"semicolons, columns turned round": altered(t, ';', func(rows [][]string) {
			for i := range rows {
				if len(rows[i]) > 5 {
					slices.Reverse(rows[i])
				}
			}
		}),
		"tabs, units in the headings": altered(t, '\t', func(rows [][]string) {
			for i, u := range rows[units] {
				if u != "" {
					rows[headings][i] += " (" + u + ")"
				}
				rows[units][i] = ""
			}
		}),
		"no units": altered(t, ',', func(rows [][]string) { clear(rows[units]) }),
		"capitals": altered(t, ',', func(rows [][]string) {
			for i, h := range rows[headings] {
				rows[headings][i] = "\u200b" + strings.ToUpper(h) + "\u00a0"
			}
		}),
		"minus signs": altered(t, ',', func(rows [][]string) {
			for _, row := range rows[units+1:] {
				for i := range row {
					if len(row) > 5 && strings.HasPrefix(strings.TrimSpace(row[i]), "-0") {
						row[i] = strings.Replace(row[i], "-", "\u2212", 1)
					}
				}
			}
		}),
	} {
		l, err := Read("list.csv", text, known(t))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := textOf(one(t, l, "Quennell Works QX-420")); strings.ReplaceAll(fmt.Sprint(got), "degC", "°C") != fmt.Sprint(want) {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
	// A unit of its own is taken over: millimetres, volts per degree.
	text := altered(t, ',', func(rows [][]string) {
		long, beta := columnOf(rows, "Long\nSide"), columnOf(rows, "βVoc")
		rows[units][long], rows[units][beta] = "mm", "V/°C"
		for _, row := range rows[units+1:] {
			if len(row) > 5 {
				row[long], row[beta] = "1722", "-0.1"
			}
		}
	})
	l, err := Read("list.csv", text, known(t))
	if err != nil {
		t.Fatal(err)
	}
	if got := textOf(one(t, l, "Quennell Works QX-420")); got["length"] != `"1722 mm"` || got["voc_coefficient"] != `"-0.1 V/°C"` {
		t.Errorf("got %v", got)
	}
}

func TestListsRefused(t *testing.T) {
	set := func(row int, heading, text string) []byte {
		return altered(t, ',', func(rows [][]string) { rows[row][columnOf(rows, heading)] = text })
	}
	const model = "QX-430 BF"
	tests := []struct {
		name string
		text []byte
		want string
	}{
		{"empty", nil, "1:1: no line has the headings of a list that is known; one of these lists is expected: inverters, modules"},
		{"not text", []byte("Model Number,\xa0"), "the file is not text in UTF-8"},
		{"two bytes a sign", []byte("M\x00o\x00"), "the file is not text in UTF-8"},
		{"another table", []byte("array, x (in), y (in)\nwest,1,2\n"), "no line has the headings"},
		{"a heading is missing", set(headings, "Nameplate Voc", "Voltage"), `3:1: of all lines this one is nearest to the headings of the list "modules", and it lacks "Nameplate Voc"`},
		{"a heading twice", set(headings, "Description", "Nameplate Voc"), `the heading "Nameplate Voc" stands twice`},
		{"an unknown unit", set(units, "Nameplate Voc", "(furlong)"), `Nameplate Voc: unknown unit "furlong"; a unit of voltage is expected, such as V`},
		{"an unknown unit in the heading", set(headings, "Nameplate Voc", "Nameplate Voc (ft)"), `Nameplate Voc: unknown unit "ft"`},
		{"two units", set(headings, "Nameplate Voc", "Nameplate Voc (mV)"), `Nameplate Voc: the heading says "mV", the line of units "V"`},
		{"no lines", altered(t, ',', func(rows [][]string) {
			for _, row := range rows[units+1:] {
				clear(row)
			}
		}), "the list has no entries"},
		{"half a quote", []byte(string(file(t, moduleList)) + "\"half\n"), "the line cannot be read"},
		{"another unit than stated", set(units, "Nameplate Voc", "mV"), `Nameplate Voc: 38.4 mV is out of range`},
		{"text for a number", set(units+3, "Nameplate Voc", "38.4x"), `"38.4x" is no number`},
		{"a comma", set(units+3, "Nameplate Voc", "38,4"), `"38,4": the comma may part thousands or decimals`},
		{"not a number", set(units+3, "Nameplate Voc", "NaN"), `"NaN" is no number`},
		{"a sign left out", set(units+3, "βVoc", "0.26"), `βVoc: 0.26 %/°C is out of range`},
		{"a field too many", altered(t, ',', func(rows [][]string) { rows[units+3] = append(rows[units+3], "", "7") }), "the line has more fields than the headings"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			l, err := Read("list.csv", test.text, known(t))
			if err == nil {
				_, err = l.Types([]string{model})
			}
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v\nwant %s", err, test.want)
			}
		})
	}
	if _, err := Read("list.csv", make([]byte, LargestList+1), known(t)); err == nil || !strings.Contains(err.Error(), "at most 64 MiB") {
		t.Errorf("got %v", err)
	}
}

// A power that is not current times voltage leaves all three open.
func TestContradictionsLeaveOpen(t *testing.T) {
	text := altered(t, ',', func(rows [][]string) { rows[units+3][columnOf(rows, "Nameplate\u00a0Pmax")] = "300" })
	l, err := Read("list.csv", text, known(t))
	if err != nil {
		t.Fatal(err)
	}
	m := one(t, l, "QX-430 BF")
	for _, key := range []string{"power", "imp", "vmp"} {
		if _, given := textOf(m)[key]; given || m.Doubts[key].Why == "" {
			t.Errorf("%s is written: %+v", key, m)
		}
	}
	if textOf(m)["voc"] == "" {
		t.Error("the voltage is open too")
	}
}

// Another list needs no Go: converters, with the voltage of a module in
// millivolts and a sign of its own.
const converters = `title = "converters of a made-up list"
kind  = "converter_type"
not_given = ["unlisted"]
[units]
"millivolt" = "mV"
[[column]]
holds = "model"
heading = ["Type"]
[[column]]
key = "maximum_input_voltage"
heading = ["Input"]
unit = "millivolt"
needed = true
[[column]]
key = "maximum_string"
heading = ["Longest"]
times = -1
[[column]]
key = "arc_fault"
heading = ["AFCI"]
words = { Yes = true, No = false }
[[column]]
key = "listed"
heading = ["Standard"]
`

func TestOwnDescription(t *testing.T) {
	d, err := Describe("own.toml", []byte(converters))
	if err != nil {
		t.Fatal(err)
	}
	l, err := Read("c.csv", []byte("Type,Input,Longest,AFCI,Standard\nK1,80000,-20,yes,UL 1741\nK2,unlisted,,,\nK3,60000,-1.5,,\n"), []*Description{d})
	if err != nil {
		t.Fatal(err)
	}
	if got := fmt.Sprint(textOf(one(t, l, "k1"))); got != fmt.Sprint(map[string]string{"maximum_input_voltage": `"80000 mV"`, "maximum_string": "20", "arc_fault": "true", "listed": `"UL 1741"`}) {
		t.Errorf("got %s", got)
	}
	if _, err := l.Types([]string{"K3"}); err == nil || !strings.Contains(err.Error(), "c.csv:4:10: \"K3\": Longest: ") {
		t.Errorf("got %v", err)
	}
	if _, err := l.Types([]string{"K2"}); err == nil { // a line with a model number alone is a footer
		t.Error("a line without a value is an entry")
	}
}

// The example of the guide is one.
func TestGuideDescribesAList(t *testing.T) {
	page, ok := guide.Named("equipment")
	if !ok {
		t.Fatal("the guide has no page on equipment")
	}
	parts := strings.Split(page.Text, "```text\n")
	if len(parts) != 3 {
		t.Fatalf("the page has %d examples", len(parts)-1)
	}
	text := func(part string) []byte { before, _, _ := strings.Cut(part, "```"); return []byte(before) }
	d, err := Describe("county.toml", text(parts[2]))
	if err != nil {
		t.Fatal(err)
	}
	l, err := Read("county.csv", text(parts[1]), []*Description{d})
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"k-80": fmt.Sprint(map[string]string{"maximum_input_voltage": `"80 V"`, "maximum_string": "25", "arc_fault": "true"}),
		"k-60": fmt.Sprint(map[string]string{"maximum_input_voltage": `"60 V"`, "arc_fault": "false"}),
	} {
		if got := fmt.Sprint(textOf(one(t, l, name))); got != want {
			t.Errorf("%s: got %s, want %s", name, got, want)
		}
	}
}

func TestDescriptionsRefused(t *testing.T) {
	for _, test := range []struct{ from, to, want string }{
		{`kind  = "converter_type"`, `kind = "convertor_type"`, `own.toml:2:8: kind: "convertor_type" is none of module_type, inverter_type, converter_type, mounting_type, fastener_type, did you mean "converter_type"?`},
		{`title = "converters of a made-up list"`, "", "title: what it is the list of is expected"},
		{`key = "maximum_input_voltage"`, `key = "maximum_voltage"`, `key: converter_type has no key "maximum_voltage" that a list can give`},
		{`holds = "model"`, `holds = "maker"`, `one column that holds = "model" is expected, found 0`},
		{`holds = "model"`, `holds = "price"`, `holds: "price" is none of model, maker, date`},
		{`unit = "millivolt"`, `unit = "ft"`, `own.toml:12:8: unit: "ft" is no unit of maximum_input_voltage`},
		{`heading = ["Longest"]`, `heading = ["INPUT"]`, `the heading "input" is that of another column too`},
		{`heading = ["Longest"]`, "", "maximum_string: a heading is expected"},
		{`key = "maximum_string"`, "key = \"maximum_string\"\nfigure = \"x\"", "a column has one of holds, key and figure"},
		{`key = "maximum_string"`, `key = "arc_fault"`, "arc_fault: a column for it stands above"},
		{`times = -1`, `tines = -1`, `unknown key "column.tines"`},
		{`times = -1`, `least = "3 V"`, "a number is expected"},
		{`needed = true`, `most = 3`, "voltage in quotes with its unit is expected"},
		{`{ Yes = true, No = false }`, `{ Yes = "sure" }`, `words: "Yes": `},
		{`not_given = ["unlisted"]`, `apart = ["output"]`, `apart: no column has the key "output"`},
		{`not_given = ["unlisted"]`, `not_given = 3`, "the description of a list cannot be read"},
		{`not_given = ["unlisted"]`, `not_given = [`, "own.toml:"},
		{`heading = ["Standard"]`, "heading = [\"Standard\"]\n[[agree]]\nsays = \"x\"\norder = [\"maximum_input_voltage\", \"nobody\"]", `no column gives the number "nobody"`},
		{`heading = ["Standard"]`, "heading = [\"Standard\"]\n[[agree]]\nsays = \"x\"\nsum = [\"maximum_string\"]", "an agreement says what it is"},
		{`heading = ["Standard"]`, "heading = [\"Standard\"]\n[[agree]]\nsays = \"x\"\nsum = [\"maximum_string\"]\nis = \"maximum_string\"\nwithin = 2", "within: a share above 0 and below 1"},
		{`heading = ["Standard"]`, "heading = [\"Standard\"]\n[[column]]\nfigure = \"f\"\nheading = [\"F\"]\ndimension = \"colour\"", `no dimension is named "colour"`},
	} {
		text := strings.Replace(converters, test.from, test.to, 1)
		if text == converters {
			t.Fatalf("%s is not in the description", test.from)
		}
		if _, err := Describe("own.toml", []byte(text)); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: got %v\nwant %s", test.to, err, test.want)
		}
	}
}

// Two descriptions that fit equally well are told apart by nobody.
func TestListsAlike(t *testing.T) {
	a, err := Describe("a.toml", []byte(converters))
	if err != nil {
		t.Fatal(err)
	}
	b, err := Describe("b.toml", []byte(converters))
	if err != nil {
		t.Fatal(err)
	}
	_, err = Read("c.csv", []byte("Type,Input\nK1,80000\n"), []*Description{a, b})
	if err == nil || !strings.Contains(err.Error(), `the headings are those of the list "a" and of the list "b"`) {
		t.Errorf("got %v", err)
	}
}

// FuzzRead wants no panic of whatever stands in a file, and that what is written
// can be read.
func FuzzRead(f *testing.F) {
	f.Add(file(f, moduleList))
	f.Add(file(f, inverterList))
	descriptions := known(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		l, err := Read("list.csv", text, descriptions)
		if err != nil {
			return
		}
		for _, e := range l.Entries[:min(len(l.Entries), 5)] {
			types, err := l.Types([]string{e.Maker + " " + e.Name})
			if err != nil {
				continue
			}
			for _, v := range types[0].Values {
				if v.Text == "" {
					t.Errorf("%s has no text", v.Key)
				}
			}
		}
	})
}
