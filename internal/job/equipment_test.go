package job

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"plumbrule/internal/bound"
)

// shop gives files from memory, and the names in a folder.
func shop(files map[string]string) func(string) ([]byte, error) {
	return func(path string) ([]byte, error) {
		path = filepath.ToSlash(path)
		if folder, ok := strings.CutSuffix(path, "/"); ok {
			var names []string
			for name := range files {
				if dir, base := filepath.Split(name); clean(dir) == folder {
					names = append(names, base+"\n")
				}
			}
			slices.Sort(names)
			if names == nil {
				return nil, os.ErrNotExist
			}
			return []byte(strings.Join(names, "")), nil
		}
		text, ok := files[path]
		if !ok {
			return nil, os.ErrNotExist
		}
		return []byte(text), nil
	}
}

// firm is a folder that several jobs share.
var firm = map[string]string{
	"firm/modules.toml": `[[module_type]]
name = "M410"
voc  = "37 V"
isc  = "13 A"

[[module_type]]
name = "M420"
like = "M410"
voc  = "38 V"

[[module_type]]
name = "M500"
voc  = "never read"
`,
	"firm/other/ignored.toml": "not TOML",
	"firm/.#modules.toml":     "not TOML",
	"firm/notes.txt":          "not TOML",
	"firm/s5.TOML":            "[[inverter_type]]\nname = \"S5\"\nmaximum_input_voltage = \"600 V\"\n",
	"firm/rail.toml":          "[[mounting_type]]\nname = \"rail\"\nbonding_modules = [\"M420\", \"M500\"]\n",
	"firm/screw.toml":         "[[fastener_type]]\nname = \"screw\"\n",
}

const shopJob = `equipment = "../firm"

[project]
name = "shared"

[[plane]]
name = "south"

[[array]]
name     = "west"
plane    = "south"
module   = "M420"
mounting = "rail"

[[inverter]]
name = "garage"
type = "S5"
`

func readShop(t *testing.T, text string, files map[string]string) *Tree {
	t.Helper()
	tree, err := Read("jobs/job.toml", []byte(text), shop(files))
	if err != nil {
		t.Fatal(err)
	}
	return tree
}

func jobOf(t *testing.T, tree *Tree) *Job {
	t.Helper()
	j, err := tree.Job()
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func moduleNames(j *Job) (names []string) {
	for i := range j.ModuleTypes {
		names = append(names, j.ModuleTypes[i].Name.Value)
	}
	return names
}

// The job takes what it names and nothing else; a type that another is like
// gives its values and is no part of the job.
func TestEquipmentFolder(t *testing.T) {
	j := jobOf(t, readShop(t, shopJob, firm))
	if got := moduleNames(j); !slices.Equal(got, []string{"M420"}) {
		t.Fatalf("module types %v", got)
	}
	m := &j.ModuleTypes[0]
	if m.Voc.Value.SI != 38 || m.Isc.Value.SI != 13 {
		t.Errorf("voc %+v, isc %+v", m.Voc, m.Isc)
	}
	for _, test := range []struct{ got, want string }{
		{m.Voc.At.Position().String(), "firm/modules.toml:9:8"},
		{m.Isc.At.Position().String(), "firm/modules.toml:4:8"},
		{j.InverterTypes[0].MaximumInputVoltage.At.Position().String(), "firm/s5.TOML:3:25"},
	} {
		if test.got != test.want {
			t.Errorf("the value stands at %s, want %s", test.got, test.want)
		}
	}
	if got := j.MountingTypes[0].BondingModules.Value; !slices.Equal(got, []string{"M420"}) {
		t.Errorf("the mounting is listed for %v", got)
	}
	if len(j.FastenerTypes) != 0 || len(j.ConverterTypes) != 0 {
		t.Error("types that the job does not name were taken")
	}
	var names []string
	for _, f := range j.Files {
		names = append(names, f.Name)
	}
	if want := []string{"jobs/job.toml", "firm/modules.toml", "firm/rail.toml", "firm/s5.TOML"}; !slices.Equal(names, want) {
		t.Errorf("files %v, want %v", names, want)
	}
}

// The expanded job needs no folder and is the same.
func TestEquipmentExpands(t *testing.T) {
	tree := readShop(t, shopJob+"[[module_type]]\nname = \"M410\"\nlike = \"M410\"\nvoc = \"37.5 V\"\n", firm)
	text, err := tree.Expanded()
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(text), "equipment") {
		t.Errorf("the folder is left in\n%s", text)
	}
	again, err := Read("jobs/other.toml", text, func(string) ([]byte, error) { return nil, os.ErrNotExist })
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if more, err := again.Expanded(); err != nil || string(more) != string(text) {
		t.Errorf("the expanded job expands to another, %v\n%s", err, more)
	}
	j := jobOf(t, again)
	// The entry of the job completes that of the folder under its own name.
	m, _ := ByName(j.ModuleTypes, "M410")
	if m == nil || m.Voc.Value.SI != 37.5 || m.Isc.Value.SI != 13 {
		t.Errorf("the completed type is %+v", m)
	}
}

// An entry of the folder takes and leaves as one of the job does, whether the job
// has it or only takes of it.
func TestEquipmentWithout(t *testing.T) {
	files := with("firm/m430.toml", "[[module_type]]\nname = \"M430\"\nlike = \"M410\"\nwithout = [\"isc\"]\n")
	text := strings.ReplaceAll(shopJob, "M420", "M430")
	for name, more := range map[string]string{"M430": "", "mine": "[[module_type]]\nname = \"mine\"\nlike = \"M430\"\n"} {
		j := jobOf(t, readShop(t, strings.ReplaceAll(text, `module   = "M430"`, `module = "`+name+`"`)+more, files))
		if m := j.ModuleTypes[0]; len(j.ModuleTypes) != 1 || m.Name.Value != name || m.Voc.Value.SI != 37 || m.Isc.Known {
			t.Errorf("%s: %+v", name, m)
		}
	}
}

// What a key may name is in the folder too.
func TestEquipmentNames(t *testing.T) {
	j := jobOf(t, readShop(t, shopJob, firm))
	slot, ok := j.Slot("array.west.module")
	if !ok {
		t.Fatal("there is no such key")
	}
	if got, want := slot.Names(), []string{"M410", "M420", "M500"}; !slices.Equal(got, want) {
		t.Errorf("the array may have the modules %v, want %v", got, want)
	}
}

// A folder of equipment and an include of the same file give jobs that every edit
// alters alike: each value left out in turn, and each set to what is wrong.
func TestEquipmentEditsAsInclude(t *testing.T) {
	whole, err := LoadTree(house)
	if err != nil {
		t.Fatal(err)
	}
	full, err := whole.Expanded()
	if err != nil {
		t.Fatal(err)
	}
	var own, shared strings.Builder // the house in two files
	for _, table := range strings.Split(string(full), "\n\n") {
		part := &own
		if header, _, _ := strings.Cut(table, "\n"); strings.Contains(header, "_type") {
			part = &shared
		}
		part.WriteString(table + "\n\n")
	}
	files := map[string]string{"jobs/types.toml": shared.String(), "jobs/shared/types.toml": shared.String()}
	in := readTree(t, "include = [\"types.toml\"]\n"+own.String(), files)
	out := readTree(t, "equipment = \"shared\"\n"+own.String(), files)
	a, b := jobOf(t, in), jobOf(t, out)
	tried, told := 0, 0
	eachGiven(reflect.ValueOf(b).Elem(), func(key string) {
		if !strings.Contains(key, "_type.") || strings.HasSuffix(key, ".name") {
			return
		}
		if tried++; testing.Short() && tried%5 > 0 {
			return
		}
		for _, e := range []Edits{{Unset: []string{key}}, {Set: map[string]any{key: "no such value"}}} {
			var said [2]string
			for i, tree := range []*Tree{in, out} {
				altered, err := tree.With(e)
				if err != nil {
					t.Fatal(err)
				}
				j, err := altered.Job()
				if err != nil {
					said[i] = strings.ReplaceAll(err.Error(), "jobs/shared/", "jobs/")
					continue
				}
				keys, comparable := Changes([]*Job{a, b}[i], j)
				said[i] = fmt.Sprint(keys, comparable)
			}
			if said[0] == "["+key+"] true" {
				told++
			}
			if said[0] != said[1] {
				t.Errorf("%s: with an include %s, with a folder %s", key, said[0], said[1])
			}
		}
	})
	if tried < 40 || told < 5 {
		t.Errorf("only %d values were tried, and %d told apart", tried, told)
	}
}

func readTree(t *testing.T, text string, files map[string]string) *Tree {
	t.Helper()
	tree, err := Read("jobs/job.toml", []byte(text), shop(files))
	if err != nil {
		t.Fatal(err)
	}
	return tree
}

// eachGiven calls f with the key of every value that a part of a job states.
func eachGiven(v reflect.Value, f func(key string)) {
	switch v.Kind() {
	case reflect.Slice:
		for i := range v.Len() {
			eachGiven(v.Index(i), f)
		}
	case reflect.Struct:
		if known := v.FieldByName("Known"); known.IsValid() {
			if key := v.FieldByName("Key"); known.Bool() && key.String() != "" {
				f(key.String())
			}
			return
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				eachGiven(v.Field(i), f)
			}
		}
	}
}

// A module that a string names besides its array's is taken too.
func TestEquipmentOfExtraModules(t *testing.T) {
	j := jobOf(t, readShop(t, shopJob+"[[string]]\nname = \"S\"\narray = \"west\"\nextra_modules = [\"1 x M410\"]\n", firm))
	if got := moduleNames(j); !slices.Equal(got, []string{"M420", "M410"}) {
		t.Errorf("module types %v", got)
	}
	_, err := readShop(t, shopJob+"[[string]]\nname = \"S\"\narray = \"west\"\nextra_modules = [\"1 x M41\"]\n", firm).Job()
	if err == nil || !strings.Contains(err.Error(), `did you mean "M410"`) {
		t.Errorf("got %v", err)
	}
}

func with(more ...string) map[string]string {
	files := map[string]string{}
	for name, text := range firm {
		files[name] = text
	}
	for i := 0; i < len(more); i += 2 {
		files[more[i]] = more[i+1]
	}
	return files
}

func TestEquipmentFaults(t *testing.T) {
	tests := []struct {
		name, job string
		files     map[string]string
		want      []string
	}{
		{"two files, one name", shopJob, with("firm/again.toml", "[[module_type]]\nname = \"M420\"\n"),
			[]string{`firm/modules.toml:7:8: module_type "M420" stands in the folder of equipment more than once`, `firm/again.toml:2:8: it is given here first`}},
		{"in the job too", shopJob + "[[module_type]]\nname = \"M420\"\n", firm,
			[]string{`jobs/job.toml:19:8: module_type "M420" stands in the job and in the folder`, `like = "M420"`, `firm/modules.toml:7:8: the entry of the folder`}},
		{"no such name", strings.ReplaceAll(shopJob, "M420", "M42O"), firm,
			[]string{`jobs/job.toml:12:12: array.west.module: no module_type is named "M42O"`, `did you mean "M420"`}},
		{"like no such name", shopJob + "[[module_type]]\nname = \"mine\"\nlike = \"M41O\"\n", firm,
			[]string{`no module_type is named "M41O"`, `did you mean "M410"`}},
		{"like itself", shopJob, with("firm/modules.toml", "[[module_type]]\nname = \"M420\"\nlike = \"M420\"\n"),
			[]string{"like goes in a circle"}},
		{"a listed module that nobody has", shopJob, with("firm/rail.toml", "[[mounting_type]]\nname = \"rail\"\nbonding_modules = [\"M42O\"]\n"),
			[]string{`firm/rail.toml:3:20: mounting_type.rail.bonding_modules: no module_type is named "M42O"`}},
		{"a value", shopJob, with("firm/s5.TOML", "[[inverter_type]]\nname = \"S5\"\nmaximum_input_voltage = \"600 ft\"\n"),
			[]string{`firm/s5.TOML:3:25: inverter_type.S5.maximum_input_voltage`}},
		{"syntax", shopJob, with("firm/broken.toml", "[[module_type\n"), []string{"firm/broken.toml:1:14: "}},
		{"another section", shopJob, with("firm/site.toml", "include = [\"x.toml\"]\n[site]\nelevation = \"1 m\"\n"),
			[]string{`firm/site.toml:1:1: unknown key "include" in a file of equipment`, `firm/site.toml:2:`, `unknown key "site"`, "the keys are module_type, "}},
		{"no list", shopJob, with("firm/one.toml", "[module_type]\nname = \"one\"\n"), []string{"firm/one.toml:1:1: module_type: found a table", "written [[module_type]]"}},
		{"no name", shopJob, with("firm/one.toml", "[[module_type]]\nvoc = \"1 V\"\n[[inverter_type]]\nname = \" \"\n"),
			[]string{"firm/one.toml:1:1: a module_type in a file of equipment has no name", "firm/one.toml:3:1: an inverter_type"}},
		{"a long list", shopJob, with("firm/one.toml", "[[module_type]]\nname = \"long\"\nx = ["+strings.Repeat("1,", bound.ListEntries+1)+"]\n"), []string{"the list has 10001 entries"}},
		{"no folder", `equipment = "none"`, firm, []string{`jobs/job.toml:1:13: equipment: "none": there is no such folder`}},
		{"no name of a folder", `equipment = ["firm"]`, firm, []string{"jobs/job.toml:1:13: equipment: found a list", `such as "equipment"`}},
		{"absolute", `equipment = "/firm"`, firm, []string{`"/firm" is not a path relative`}},
		{"backslash", `equipment = 'a\b'`, firm, []string{"has a backslash"}},
		{"blank", `equipment = ""`, firm, []string{`equipment: "" is no file name`}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, err := Parse("jobs/job.toml", []byte(test.job), shop(test.files))
			if err == nil {
				t.Fatal("nothing is refused")
			}
			for _, want := range test.want {
				if !strings.Contains(err.Error(), want) {
					t.Errorf("got\n%v\nwant %s", err, want)
				}
			}
		})
	}
}

// What the job does not use is not read: neither a wrong value nor a name that
// stands twice stops it.
func TestEquipmentThatIsNotUsed(t *testing.T) {
	files := with("firm/again.toml", "[[module_type]]\nname = \"M500\"\n[[fastener_type]]\nname = \"screw\"\nlike = \"nobody\"\n")
	if got := moduleNames(jobOf(t, readShop(t, shopJob, files))); !slices.Equal(got, []string{"M420"}) {
		t.Errorf("module types %v", got)
	}
}

// Folders of several files are all read, one that two name is read once, and a
// file that the job includes is not equipment a second time.
func TestEquipmentFolders(t *testing.T) {
	files := with("jobs/parts/a.toml", "equipment = \"../more\"\n", "jobs/b.toml", "equipment = \"../firm/\"\n", "jobs/more/m.toml", "[[fastener_type]]\nname = \"lag\"\n")
	text := "include = [\"parts/a.toml\", \"b.toml\", \"../firm/screw.toml\"]\n" + shopJob + "[array.attachments]\nfastener = \"lag\"\n"
	text = strings.Replace(text, "[[inverter]]", "[array.attachments]\nfastener = \"lag\"\n\n[[inverter]]", 1)
	text = strings.TrimSuffix(text, "[array.attachments]\nfastener = \"lag\"\n")
	j := jobOf(t, readShop(t, text, files))
	var names []string
	for i := range j.FastenerTypes {
		names = append(names, j.FastenerTypes[i].Name.Value)
	}
	if want := []string{"screw", "lag"}; !slices.Equal(names, want) {
		t.Errorf("fastener types %v, want %v", names, want)
	}
	// The job may stand in the folder itself.
	files = with("firm/job.toml", strings.Replace(shopJob, "../firm", ".", 1))
	if _, err := Parse("firm/job.toml", []byte(files["firm/job.toml"]), shop(files)); err != nil {
		t.Error(err)
	}
}

// Edits reach a value of the folder as they do one of an include.
func TestEquipmentEdits(t *testing.T) {
	tree := readShop(t, shopJob, firm)
	edited := func(tree *Tree, e Edits) *Job {
		t.Helper()
		altered, err := tree.With(e)
		if err != nil {
			t.Fatal(err)
		}
		return jobOf(t, altered)
	}
	before := jobOf(t, tree)
	if keys, same := Changes(before, edited(tree, Edits{})); !same || len(keys) > 0 {
		t.Errorf("an edit of nothing changes %v", keys)
	}
	for _, key := range []string{"module_type.M420.voc", "module_type.M420.isc", "inverter_type.S5.maximum_input_voltage"} {
		j := edited(tree, Edits{Unset: []string{key}})
		if keys, same := Changes(before, j); !same || !slices.Equal(keys, []string{key}) {
			t.Errorf("unsetting %s changes %v", key, keys)
		}
	}
	j := edited(tree, Edits{Set: map[string]any{"module_type.M420.isc": "12 A", "module_type.1.voc": "39 V"}})
	if m := j.ModuleTypes[0]; m.Isc.Value.SI != 12 || m.Voc.Value.SI != 39 {
		t.Errorf("the edited type is %+v", m)
	}
	// Another type of the folder, twice.
	one, err := tree.With(Edits{Set: map[string]any{"array.west.module": "M410"}})
	if err != nil {
		t.Fatal(err)
	}
	if got := moduleNames(jobOf(t, one)); !slices.Equal(got, []string{"M420", "M410"}) {
		t.Errorf("module types %v", got)
	}
	j = edited(one, Edits{Set: map[string]any{"module_type.M410.voc": "40 V"}, Doubled: map[string]string{"module_type.M420": "more"}})
	if got := moduleNames(j); !slices.Equal(got, []string{"M420", "M410", "more"}) || j.ModuleTypes[1].Voc.Value.SI != 40 || j.ModuleTypes[2].Isc.Value.SI != 13 {
		t.Errorf("module types %v: %+v", got, j.ModuleTypes)
	}
	// What an edit leaves out stays away, and the one that is like it keeps its values.
	j = edited(tree, Edits{Unset: []string{"array.west.module", "module_type.M420"}, Added: map[string][]map[string]any{"module_type": {{"name": "new", "like": "M420"}}}})
	if got := moduleNames(j); !slices.Equal(got, []string{"new"}) || j.ModuleTypes[0].Voc.Value.SI != 38 {
		t.Errorf("module types %v", got)
	}
	altered, err := tree.With(Edits{Unset: []string{"module_type.M420"}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := altered.Job(); err == nil || !strings.Contains(err.Error(), `no module_type is named "M420"`) {
		t.Errorf("got %v", err)
	}
	altered, err = tree.With(Edits{Added: map[string][]map[string]any{"module_type": {{"name": "M410"}}}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := altered.Job(); err == nil || !strings.Contains(err.Error(), "stands in the job and in the folder") {
		t.Errorf("got %v", err)
	}
	if again := jobOf(t, tree); len(again.ModuleTypes) != 1 {
		t.Error("an edit changed the tree that it was made to")
	}
}

// writeFirm writes a folder of n files of equipment and a job that uses one.
func writeFirm(t testing.TB, n int) string {
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "firm"), 0o755); err != nil {
		t.Fatal(err)
	}
	for i := range n {
		text := fmt.Sprintf("[[module_type]]\nname = \"M%d\"\nvoc = \"37 V\"\nisc = \"13 A\"\nvmp = \"31 V\"\nimp = \"12 A\"\npower = \"400 W\"\nlength = \"1.7 m\"\nwidth = \"1.1 m\"\nvoc_coefficient = \"-0.27 %%/degC\"\nlisted = \"UL 61730\"\n", i)
		if err := os.WriteFile(filepath.Join(dir, "firm", fmt.Sprintf("m%d.toml", i)), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(dir, "job.toml")
	text := fmt.Sprintf("equipment = \"firm\"\n[project]\nname = \"x\"\n[[plane]]\nname = \"p\"\n[[array]]\nname = \"a\"\nplane = \"p\"\nmodule = \"M%d\"\n", n/2)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// A folder on disk is read, and one of a thousand files within a second.
func TestEquipmentOnDisk(t *testing.T) {
	path := writeFirm(t, 1000)
	start := time.Now()
	j, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	if took := time.Since(start); took > time.Second {
		t.Errorf("a folder of a thousand files took %v", took)
	}
	if got := moduleNames(j); !slices.Equal(got, []string{"M500"}) {
		t.Errorf("module types %v", got)
	}
	firm := filepath.Join(filepath.Dir(path), "firm")
	for name, want := range map[string]string{"firm/m1.toml": "it is a file, not a folder", "none": "there is no such folder"} {
		if err := os.WriteFile(path, []byte(fmt.Sprintf("equipment = %q\n[project]\nname = \"x\"\n", name)), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := Load(path); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want %s", name, err, want)
		}
	}
	if err := os.Mkdir(filepath.Join(firm, "folder.toml"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte("equipment = \"firm\"\n[project]\nname = \"x\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Load(path); err != nil {
		t.Error(err)
	}
}

// More files than a firm has are refused before they are read.
func TestEquipmentIsBounded(t *testing.T) {
	opened := 0
	many := func(path string) ([]byte, error) {
		if strings.HasSuffix(path, "/") {
			var names strings.Builder
			for i := range 100_000 {
				fmt.Fprintf(&names, "%d.toml\n", i)
			}
			return []byte(names.String()), nil
		}
		opened++
		return nil, nil
	}
	_, err := Parse("job.toml", []byte("equipment = \"..\"\n[project]\nname = \"x\"\n"), many)
	if err == nil || !strings.Contains(err.Error(), "holds more than 5000 files") || opened > bound.EquipmentFiles+1 {
		t.Errorf("%d files were opened: %v", opened, err)
	}
}

// BenchmarkEquipment reads a job with a folder of a thousand files.
func BenchmarkEquipment(b *testing.B) {
	path := writeFirm(b, 1000)
	for b.Loop() {
		if _, err := Load(path); err != nil {
			b.Fatal(err)
		}
	}
}
