package draft

import (
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
)

// Reviewer reviews a job.
type Reviewer func(*job.Job) (*review.Review, error)

// mostRounds bounds how often a draft is reviewed with stand-ins for what the
// round before asked for.
const mostRounds = 4

// Beside makes the names of included files and of the folder of equipment those
// seen from the folder that the job is to be written to.
func (d *Document) Beside(folder string) (err error) {
	if d.Folder != "" {
		if d.Folder, err = seenFrom(folder, d.Folder); err != nil {
			return err
		}
	}
	for i, name := range d.Includes {
		seen, err := seenFrom(folder, name)
		if err != nil {
			return err
		}
		d.Includes[i] = seen
	}
	return nil
}

// seenFrom is the name of a file, given from the working folder, as a job in
// another folder names it.
func seenFrom(folder, name string) (string, error) {
	from, err := filepath.Abs(folder)
	if err != nil {
		return "", err
	}
	to, err := filepath.Abs(filepath.FromSlash(name))
	if err != nil {
		return "", err
	}
	seen, err := filepath.Rel(from, to)
	return filepath.ToSlash(seen), err
}

// Leave opens each key that a review of the job asks for, in the table that it
// belongs to, as says words it. name is the file that the job is to be written
// to.
//
// The job is reviewed again with stand-ins for quantities and names, which show
// what would be asked next and are written nowhere; words and yes or no get none,
// for what is asked next depends on them.
func (d *Document) Leave(name string, reviewed Reviewer, says func(*job.Slot) (above []string, behind string)) error {
	name = filepath.ToSlash(name)
	d.name = name
	j, err := job.Parse(name, d.TOML(), job.ReadFile)
	if err != nil {
		return err
	}
	d.explain(j, says)
	for range mostRounds {
		r, err := reviewed(j)
		if err != nil {
			return err
		}
		more := false
		for _, m := range r.Missing() {
			for _, slot := range m.Slots {
				more = d.leave(slot, says) || more
			}
		}
		if !more {
			break
		}
		if j, err = job.Parse(name, d.tried().TOML(), job.ReadFile); err != nil {
			break // together the stand-ins are no job, and show nothing
		}
	}
	return nil
}

// explain words the keys that were left open when the document was made.
func (d *Document) explain(j *job.Job, says func(*job.Slot) ([]string, string)) {
	owner := ""
	for _, t := range d.Tables {
		section, inner, within := strings.Cut(t.Key, ".")
		if !within {
			owner = section
			if t.List {
				name, _ := strconv.Unquote(t.Name()) // as job.Quote has it
				owner = job.Join(section, name)
			}
		}
		for i := range t.Entries {
			e := &t.Entries[i]
			key := job.Join(owner, e.Key)
			if within {
				key = job.Join(job.Join(owner, inner), e.Key)
			}
			if slot, ok := j.Slot(key); ok && e.Open() && e.Says == nil {
				e.Says, e.Note = says(slot)
				e.trial = standIn(slot)
			}
		}
	}
}

// leave opens one key, and reports whether it was not open before. What an entry
// takes by like is open in its giver alone, and what belongs into another file is
// for that file to say.
func (d *Document) leave(slot *job.Slot, says func(*job.Slot) ([]string, string)) bool {
	if len(slot.Tables) == 0 {
		return false
	}
	at := d.place(slot)
	if at == nil || at.states(slot.Field.Key) {
		return false
	}
	e := Entry{Key: slot.Field.Key, trial: standIn(slot)}
	e.Says, e.Note = says(slot)
	at.Entries = append(at.Entries, e)
	return true
}

// tried is the document with stand-ins for what is open.
func (d *Document) tried() *Document {
	out := *d
	out.Tables = nil
	for _, t := range d.Tables {
		tried := *t
		tried.Entries = slices.Clone(t.Entries)
		for i := range tried.Entries {
			if e := &tried.Entries[i]; e.Open() {
				e.Value = e.trial
			}
		}
		out.Tables = append(out.Tables, &tried)
	}
	return &out
}

// place finds the table that a key stands in, or makes it; nil where it stands
// in an entry of another file.
func (d *Document) place(slot *job.Slot) *Table {
	from, to := 0, len(d.Tables) // what may hold the next of them
	var found *Table
	for depth, o := range slot.Tables {
		i := d.index(o, from, to)
		if i < 0 {
			if o.Number > 0 && (o.Name == "" || slot.At.File == nil || slot.At.File.Name != d.name) {
				return nil
			}
			i = d.insert(o.Key, depth, from, to)
			if o.Number > 0 { // of a standard set, which an entry of its name adds to
				d.Tables[i].List = true
				d.Tables[i].Set("name", job.Quote(o.Name))
			}
		} else if depth == 0 {
			i = d.giver(i, within(slot))
		}
		found = d.Tables[i]
		from, to = i+1, i+1
		for to < len(d.Tables) && strings.HasPrefix(d.Tables[to].Key, o.Key+".") {
			to++
		}
	}
	return found
}

// index finds a table of a document in a part of it; -1 for none.
func (d *Document) index(o job.Opening, from, to int) int {
	number, name := 0, job.Quote(o.Name)
	for i := from; i < to; i++ {
		if d.Tables[i].Key != o.Key {
			continue
		}
		number++
		if o.Number == 0 || o.Name != "" && d.Tables[i].Name() == name || o.Name == "" && number == o.Number {
			return i
		}
	}
	return -1
}

// within is a key as seen from the entry of a list that it stands in.
func within(slot *job.Slot) string {
	last := slot.Tables[len(slot.Tables)-1].Key
	_, inner, _ := strings.Cut(last, ".")
	return job.Join(inner, slot.Field.Key)
}

// giver finds the entry that another is to take a key from by like, through any
// between; the entry itself where it is to have one of its own.
func (d *Document) giver(i int, key string) int {
	for range d.Tables {
		t := d.Tables[i]
		like := slices.IndexFunc(t.Entries, func(e Entry) bool { return e.Key == "like" })
		if like < 0 || slices.Contains(t.own, key) {
			return i
		}
		next := slices.IndexFunc(d.Tables, func(other *Table) bool { return other.Key == t.Key && other.Name() == t.Entries[like].Value })
		if next < 0 {
			return i
		}
		i = next
	}
	return i
}

// insert opens a table that stands once, in the order of the model, and gives
// its index.
func (d *Document) insert(key string, depth, from, to int) int {
	at := to
	if depth == 0 {
		order := job.Model().Keys()
		mine := slices.Index(order, key)
		for at = from; at < to; at++ {
			section, _, _ := strings.Cut(d.Tables[at].Key, ".")
			if slices.Index(order, section) > mine {
				break
			}
		}
	}
	d.Tables = slices.Insert(d.Tables, at, &Table{Key: key})
	return at
}

// standIn is a value for a review that shows what is asked next; "" for words
// and yes or no.
func standIn(slot *job.Slot) string {
	f := slot.Field
	if len(f.Choice) > 0 || f.Ref != "" || len(f.AnyOf) > 0 {
		return ""
	}
	switch f.Kind {
	case job.KindQuantity, job.KindNumber, job.KindCount, job.KindText, job.KindSize, job.KindQuantities:
		return slot.Example()
	}
	return ""
}
