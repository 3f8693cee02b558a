package from

import (
	"path/filepath"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"plumbrule/internal/draft"
	"plumbrule/internal/job"
	"plumbrule/internal/source"
)

// feet are a file with the feet of an array.
type feet struct {
	file  *source.File
	array string // "" for the only one
}

// footFile notes a file with feet, which the job names and reads itself.
func (r *reader) footFile(f *source.File, array string) {
	r.feet = append(r.feet, feet{f, array})
	r.note("%s: feet, which the job reads from the file", f.Name)
}

// Into puts what the files gave into a draft. A list that a file gives takes the
// place of that which the draft had. Things that a schedule names, of a kind of
// which the draft has none, are put in by their names alone. folder is that of
// the job, from which it names files. The error is source.Faults.
func (r *Reading) Into(d *draft.Document, folder string) error {
	for _, key := range r.lists() {
		var mine []*draft.Table
		for _, t := range r.Tables {
			if top(t.Key) == key {
				mine = append(mine, t)
			}
		}
		d.Tables = slices.DeleteFunc(d.Tables, func(t *draft.Table) bool { return top(t.Key) == key })
		put(d, key, mine)
	}
	faults := r.gaps(d.Tables)
	faults = append(faults, r.attach(d, folder)...)
	r.openNamed(d)
	d.Head = append(d.Head, r.Notes...)
	return faults.Err()
}

// lists are the lists that the files gave, each once.
func (r *Reading) lists() (keys []string) {
	for _, t := range r.Tables {
		if key := top(t.Key); !slices.Contains(keys, key) {
			keys = append(keys, key)
		}
	}
	return keys
}

func top(key string) string {
	first, _, _ := strings.Cut(key, ".")
	return first
}

// put puts tables where the order of the model has them.
func put(d *draft.Document, key string, tables []*draft.Table) {
	order := job.Model().Keys()
	place := slices.Index(order, key)
	at := slices.IndexFunc(d.Tables, func(t *draft.Table) bool { return slices.Index(order, top(t.Key)) > place })
	if at < 0 {
		at = len(d.Tables)
	}
	d.Tables = slices.Insert(d.Tables, at, tables...)
}

// attach names the files with feet in the arrays that they belong to, instead of
// a pattern.
func (r *Reading) attach(d *draft.Document, folder string) (faults source.Faults) {
	var arrays []string
	for _, t := range d.Tables {
		if t.Key == arrayKey {
			arrays = append(arrays, named(t))
		}
	}
	for _, f := range r.feet {
		name := f.array
		switch {
		case len(arrays) == 0:
			faults = append(faults, source.Fault{At: f.file.Start(), Message: "the feet belong to no array: the draft has none", Expected: "the arrays are given by a schedule of modules, or by answers"})
			continue
		case name == "" && len(arrays) == 1:
			name = arrays[0]
		}
		i := slices.IndexFunc(d.Tables, func(t *draft.Table) bool { return t.Key == arrayKey && strings.EqualFold(named(t), name) })
		if i < 0 {
			faults = append(faults, source.Fault{At: f.file.Start(), Message: "the file does not tell which array the feet belong to",
				Expected: `it is told by a name such as "feet ` + arrays[0] + `.csv", or by a word before it, as in "feet ` + arrays[0] + `=FILE"; the arrays are ` + strings.Join(arrays, ", ")})
			continue
		}
		name, problem := beside(folder, f.file.Name)
		if problem != "" {
			faults = append(faults, source.Fault{At: f.file.Start(), Message: problem})
			continue
		}
		feetOfArray(d, i, draft.Entry{Key: "file", Value: job.Quote(name), From: f.file.Start()})
	}
	return faults
}

// feetOfArray puts the name of a file with feet into the table of an array's
// feet, which follows the array, and takes a pattern out of it.
func feetOfArray(d *draft.Document, array int, file draft.Entry) {
	key := arrayKey + ".attachments"
	at := array + 1
	for at < len(d.Tables) && strings.HasPrefix(d.Tables[at].Key, arrayKey+".") && d.Tables[at].Key != key {
		at++
	}
	if at == len(d.Tables) || d.Tables[at].Key != key {
		at = array + 1
		d.Tables = slices.Insert(d.Tables, at, &draft.Table{Key: key, From: file.From})
	}
	t := d.Tables[at]
	t.Entries = slices.DeleteFunc(t.Entries, func(e draft.Entry) bool {
		return slices.Contains([]string{"lines", "spacing", "first_offset", "stagger", "per_line", "every", "on", "staggered", "file"}, e.Key)
	})
	t.Entries = append(t.Entries, file)
}

// beside is the name of a file as a job in a folder gives it.
func beside(folder, name string) (string, string) {
	from, err := filepath.Abs(folder)
	if err != nil {
		return "", err.Error()
	}
	to, err := filepath.Abs(name)
	if err != nil {
		return "", err.Error()
	}
	rel, err := filepath.Rel(from, to)
	if err != nil {
		return "", "the file and the job are not on one drive"
	}
	return filepath.ToSlash(rel), ""
}

// openNamed puts in, by their names alone, things that schedules name where the
// draft has none of their kind at all and a name is all that the kind needs.
func (r *Reading) openNamed(d *draft.Document) {
	have := map[string]bool{}
	for _, t := range d.Tables {
		have[t.Key] = true
	}
	made := map[string]bool{}
	for _, ref := range r.opened {
		f, known := job.Model().Field(ref.kind)
		if have[ref.kind] || !known || made[ref.kind+"\x00"+ref.name] || !nameIsEnough(f) {
			continue
		}
		made[ref.kind+"\x00"+ref.name] = true
		put(d, ref.kind, []*draft.Table{{Key: ref.kind, List: true, From: ref.at, Note: "named in " + ref.at.Position().String() + ", which says no more of it",
			Entries: []draft.Entry{{Key: "name", Value: job.Quote(ref.name), From: ref.at}}}})
	}
}

// nameIsEnough reports whether an entry of a list can be read by its name alone.
func nameIsEnough(f *job.Field) bool {
	return !slices.ContainsFunc(f.Table.Fields, func(f *job.Field) bool { return f.Required && f.Key != "name" })
}

// Placed gives faults of the drafted text the places in the files that it was
// made from. A fault of what no file gave keeps its place in the text. name is
// that of the job when it was read.
func Placed(name string, text []byte, d *draft.Document, faults source.Faults) source.Faults {
	index, err := source.NewIndex(source.NewFile(name, text))
	if err != nil {
		return faults
	}
	p := places(index, d)
	out := make(source.Faults, len(faults))
	for i, f := range faults {
		f.At = p.of(name, f.At, f.Path)
		f.Also = slices.Clone(f.Also)
		for k, further := range f.Also {
			f.Also[k].At = p.of(name, further.At, "")
		}
		out[i] = f
	}
	return out.Sorted()
}

// stretch is a part of the drafted text with where it came from.
type stretch struct {
	start, end int
	from       source.Span
	table      *draft.Table // where the stretch is the header of a table
}

type stretches []stretch

// places pairs the tables of a draft with the places where its text has them.
func places(index *source.Index, d *draft.Document) stretches {
	var out stretches
	paths, counts := map[string]string{}, map[string]int{}
	for _, t := range d.Tables {
		base, last := "", t.Key
		if i := strings.LastIndexByte(t.Key, '.'); i >= 0 {
			base, last = t.Key[:i], t.Key[i+1:]
			if p, open := paths[base]; open {
				base = p
			}
		}
		at := source.Key(base, last)
		if t.List {
			n := counts[at]
			counts[at]++
			at = source.Item(at, n)
		}
		paths[t.Key] = at
		header := index.Of(at).Best()
		out = append(out, stretch{header.Start, header.End, t.From, t})
		for _, e := range t.Entries {
			place := index.Of(source.Key(at, e.Key))
			if place.Key.Known() {
				out = append(out, stretch{place.Key.Start, max(place.Key.End, place.Value.End), e.From, nil})
			}
		}
	}
	return out
}

// of is where a place of the text came from. A fault of a table as a whole is
// that of one of its keys, where key ends in that.
func (p stretches) of(name string, at source.Span, key string) source.Span {
	if at.File == nil || at.File.Name != filepath.ToSlash(name) {
		return at
	}
	for _, s := range p {
		if at.Start < s.start || at.Start > s.end {
			continue
		}
		if s.table != nil {
			parts, _ := job.SplitKey(key)
			for _, e := range s.table.Entries {
				if len(parts) > 0 && e.Key == parts[len(parts)-1] && e.From.Known() {
					return e.From
				}
			}
		}
		if s.from.Known() {
			return s.from
		}
	}
	return at
}

// unquoted is the text that a value of TOML stands for; "" for what is no text.
func unquoted(value string) string {
	var v struct{ Value any }
	if _, err := toml.Decode("Value = "+value, &v); err != nil {
		return ""
	}
	s, _ := v.Value.(string)
	return s
}
