// Package from turns files that a designer has at hand into tables of a job:
// schedules as CSV, outlines of roof planes as GeoJSON or DXF. What a file does
// not say is left open, and what cannot be read is named with its place.
package from

import (
	"bytes"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"plumbrule/internal/bound"
	"plumbrule/internal/draft"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
)

// Options say what files do not.
type Options struct {
	Unit    string            // of the coordinates of a DXF file: "ft", "in", "m", "mm" or "cm"; "" where the file names it
	Layers  map[string]string // what a layer of a DXF file holds, one of Roles
	Columns map[string]string // the key that a heading of a schedule stands for; "-" leaves the column out
	System  quantity.System   // that outlines in degrees are written in
}

// Source is one of the files.
type Source struct {
	// Holds says what it holds: a list of the job ("circuit"), "modules", "feet"
	// or "feet NAME"; "" where its name tells.
	Holds string
	File  *source.File
}

// Named parts "circuit=FILE" into what the file holds and its name. A word before
// the sign has no sign of a path.
func Named(given string) (holds, file string) {
	word, name, parted := strings.Cut(given, "=")
	if !parted || word == "" || strings.ContainsAny(word, `./\`) {
		return "", given
	}
	return strings.TrimSpace(word), name
}

// Reading is what files gave.
type Reading struct {
	Tables []*draft.Table
	Notes  []string // what was made of them and what was not read, a sentence each

	opened  []reference
	pitches []pitch
	feet    []feet
}

// Read reads the files. The error is source.Faults with every fault of all of
// them.
func Read(files []Source, o Options) (*Reading, error) {
	r := &reader{Reading: &Reading{}, options: o}
	if o.Unit != "" && !slices.Contains(drawingUnits, o.Unit) {
		near, _ := quantity.Nearest(o.Unit, drawingUnits)
		r.faults = append(r.faults, source.Fault{Message: fmt.Sprintf("%q is no unit of a drawing", o.Unit), Expected: "one of " + strings.Join(drawingUnits, ", ") + " is expected", Nearest: near})
	}
	for _, layer := range slices.Sorted(maps.Keys(o.Layers)) {
		if role := o.Layers[layer]; !slices.Contains(Roles(), role) {
			near, _ := quantity.Nearest(role, Roles())
			r.faults = append(r.faults, source.Fault{Message: fmt.Sprintf("the layer %q holds %q, which is no word for what a layer holds", layer, role), Expected: "one of " + strings.Join(Roles(), ", ") + " is expected", Nearest: near})
		}
	}
	if len(r.faults) > 0 {
		return nil, r.faults.Err()
	}
	given := map[string]*source.File{}
	for _, s := range files {
		r.one(s, given)
	}
	if len(r.faults) == 0 { // else a file may have what was not read
		r.unusedNames()
	}
	if err := r.faults.Err(); err != nil {
		return nil, err
	}
	return r.Reading, nil
}

type reader struct {
	*Reading
	options Options
	faults  source.Faults

	mapped map[string]bool // headings of Options.Columns that some file has
	layers map[string]bool // layers of Options.Layers that some file has
}

func (r *reader) fault(at source.Span, expected, message string, a ...any) {
	r.faults = append(r.faults, source.Fault{At: at, Message: fmt.Sprintf(message, a...), Expected: expected})
}

func (r *reader) note(format string, a ...any) { r.Notes = append(r.Notes, fmt.Sprintf(format, a...)) }

// one reads one file. given holds what each kind of content came from.
func (r *reader) one(s Source, given map[string]*source.File) {
	f := s.File
	switch ending := strings.ToLower(path.Ext(f.Name)); {
	case len(f.Text) > bound.FileBytes:
		r.fault(f.Start(), fmt.Sprintf("at most %d MiB are read", bound.FileBytes>>20), "the file is too large")
	case ending == ".dxf":
		r.outlines(s, given, r.drawing)
	case bytes.IndexByte(f.Text, 0) >= 0 || !utf8.Valid(f.Text):
		r.fault(f.Start(), "a file in UTF-8 is expected", "the file is not text")
	case ending == ".geojson" || ending == ".json":
		r.outlines(s, given, r.geography)
	case ending == ".csv":
		r.table(s, given)
	default:
		r.fault(f.Start(), "a schedule ends in .csv, outlines in .geojson or .dxf", "the ending of the file does not tell what it is")
	}
}

// outlines reads the one file with outlines of planes: those of two would have
// no common point.
func (r *reader) outlines(s Source, given map[string]*source.File, read func(*source.File)) {
	if s.Holds != "" && s.Holds != planeKey {
		r.fault(s.File.Start(), "it gives the outlines of planes", "a file of outlines cannot hold %q", s.Holds)
		return
	}
	if r.takes(planeKey, s.File, given) {
		read(s.File)
	}
}

// takes notes that a file gives a list, and refuses a second one.
func (r *reader) takes(key string, f *source.File, given map[string]*source.File) bool {
	if first, twice := given[key]; twice {
		r.faults = append(r.faults, source.Fault{At: f.Start(), Message: fmt.Sprintf("two files give %s", key), Expected: "one file is expected",
			Also: []source.Further{{At: first.Start(), Note: source.FirstHere}}})
		return false
	}
	given[key] = f
	return true
}

// unusedNames refuses a column or layer that the command line names and no file has.
func (r *reader) unusedNames() {
	for _, name := range slices.Sorted(maps.Keys(r.options.Columns)) {
		if !r.mapped[strings.ToLower(name)] {
			r.fault(source.Span{}, "", "no schedule has a column %q", name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(r.options.Layers)) {
		if !r.layers[strings.ToLower(name)] {
			r.fault(source.Span{}, "", "no drawing has lines on a layer %q", name)
		}
	}
}

const (
	planeKey   = "plane"
	arrayKey   = "array"
	modulesKey = "modules"
	feetKey    = "feet"
)

// listNamed finds the list of a job that a word names, in the singular or the
// plural: "circuit", "circuits", "module types".
func listNamed(word string) *job.Field {
	word = keyOf(word)
	for _, f := range job.Model().Fields {
		if f.Kind == job.KindTables && (word == f.Key || word == plural(f.Key)) {
			return f
		}
	}
	return nil
}

func plural(key string) string {
	if strings.HasSuffix(key, "ch") {
		return key + "es"
	}
	return key + "s"
}

// keyOf is a word as a key writes it.
func keyOf(word string) string {
	word = strings.ToLower(strings.Join(strings.Fields(word), "_"))
	return strings.ReplaceAll(word, "-", "_")
}

// holdable lists what a schedule may hold.
func holdable() []string {
	list := []string{modulesKey, feetKey}
	for _, f := range job.Model().Fields {
		if f.Kind == job.KindTables {
			list = append(list, f.Key)
		}
	}
	return list
}

// table reads a schedule: what it holds is said, or told by its name.
func (r *reader) table(s Source, given map[string]*source.File) {
	base := path.Base(s.File.Name)
	word := s.Holds
	if word == "" {
		word = strings.TrimSuffix(base, path.Ext(base))
	}
	if kind, array := feetOf(word); kind {
		if r.takes(strings.TrimSpace(feetKey+" "+array), s.File, given) {
			r.footFile(s.File, array)
		}
		return
	}
	list := listNamed(word)
	switch {
	case keyOf(word) == modulesKey || keyOf(word) == "module":
		if r.takes(arrayKey, s.File, given) {
			r.modules(s.File)
		}
	case list != nil:
		if r.takes(list.Key, s.File, given) {
			r.schedule(s.File, list)
		}
	default:
		near, _ := quantity.Nearest(keyOf(word), holdable())
		f := source.Fault{At: s.File.Start(), Message: fmt.Sprintf("%q does not tell what the file holds", word), Nearest: near,
			Expected: fmt.Sprintf("it is told by a name such as circuits.csv, or by a word before it, as in circuit=%s; the words are %s", base, strings.Join(holdable(), ", "))}
		r.faults = append(r.faults, f)
	}
}

// feetOf parts "feet south" into its word and the name of the array.
func feetOf(word string) (feet bool, array string) {
	rest, ok := strings.CutPrefix(strings.ToLower(word), feetKey)
	if !ok || rest != "" && !strings.ContainsAny(rest[:1], " -_") {
		return false, ""
	}
	return true, strings.TrimSpace(strings.TrimLeft(word[len(feetKey):], " -_"))
}
