package draft

import (
	"path"
	"path/filepath"
	"slices"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/review"
)

// Reviewer reviews a job.
type Reviewer func(*job.Job) (*review.Review, error)

// mostRounds bounds how often a draft is reviewed with stand-ins for what the
// round before asked for.
const mostRounds = 4

// Beside makes the names of included files those seen from the folder that the
// job is to be written to.
func (d *Document) Beside(folder string) {
	for i, name := range d.Includes {
		if path.IsAbs(name) || filepath.IsAbs(name) {
			continue
		}
		if seen, err := filepath.Rel(folder, filepath.FromSlash(name)); err == nil {
			d.Includes[i] = filepath.ToSlash(seen)
		}
	}
}

// Leave opens each key that a review of the job asks for, in the table that it
// belongs to, as says words it. name is the file that the job is to be written
// to.
//
// The job is reviewed again with stand-ins for quantities and names, which show
// what would be asked next and are written nowhere; words and yes or no get none,
// for what is asked next depends on them.
func (d *Document) Leave(name string, reviewed Reviewer, says func(*job.Slot) (above []string, behind string)) error {
	j, err := job.Parse(name, d.TOML(), readFile)
	if err != nil {
		return err
	}
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
		if j, err = job.Parse(name, d.tried().TOML(), readFile); err != nil {
			break // together the stand-ins are no job, and show nothing
		}
	}
	return nil
}

// leave opens one key, and reports whether it was not open before. What an entry
// takes by like is open in its giver alone, and what belongs into another file is
// for that file to say.
func (d *Document) leave(slot *job.Slot, says func(*job.Slot) ([]string, string)) bool {
	if len(slot.Tables) == 0 {
		return false
	}
	at := d.place(slot.Tables)
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
// in an entry that the document does not have.
func (d *Document) place(openings []job.Opening) *Table {
	from, to := 0, len(d.Tables) // what may hold the next of them
	var found *Table
	for depth, o := range openings {
		i := d.index(o, from, to)
		if i < 0 {
			if o.Number > 0 {
				return nil
			}
			i = d.insert(o.Key, depth, from, to)
		} else if giver, ok := d.giver(i); ok {
			i = giver
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
	number := 0
	for i := from; i < to; i++ {
		if d.Tables[i].Key != o.Key {
			continue
		}
		number++
		if o.Number == 0 || o.Name != "" && d.Tables[i].Name() == job.Quote(o.Name) || o.Name == "" && number == o.Number {
			return i
		}
	}
	return -1
}

// giver finds the entry that another is like, through any between.
func (d *Document) giver(i int) (int, bool) {
	for range d.Tables {
		like := slices.IndexFunc(d.Tables[i].Entries, func(e Entry) bool { return e.Key == "like" })
		if like < 0 {
			return i, true
		}
		name := d.Tables[i].Entries[like].Value
		next := slices.IndexFunc(d.Tables, func(t *Table) bool { return t.Key == d.Tables[i].Key && t.Name() == name })
		if next < 0 {
			return i, true
		}
		i = next
	}
	return i, false
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
