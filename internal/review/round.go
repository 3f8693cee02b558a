package review

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"plumbrule/internal/codebook"
)

// State is what became of an earlier comment, or of one thing that it is about.
type State string

const (
	// New: it is outstanding, and no earlier comment is about it.
	New State = "new"
	// Same: it is outstanding as it was, and what it read has not changed.
	Same State = "outstanding"
	// Altered: it is outstanding, and what it read has changed, or it had been
	// answered or withdrawn. Of a comment also: a part of it is closed.
	Altered State = "changed"
	// Answered: the check is met or excused now, or the key is stated.
	Answered State = "answered"
	// Withdrawn: nothing asks for it any more: the thing is gone, the check does
	// not apply to it or is not held any more, or the key is needed by nothing.
	Withdrawn State = "withdrawn"
)

// States lists every state.
var States = []State{New, Same, Altered, Answered, Withdrawn}

// Open tells whether something is still to be done.
func (s State) Open() bool { return s == New || s == Same || s == Altered }

// Earlier is what the rounds before this one gave, as the last of them wrote it.
type Earlier struct {
	Round    int               // of the last one
	Highest  int               // the highest number ever given to a comment
	Project  string            // what the job was called
	Rules    string            // hash of the rule set
	Adoption map[string]string // edition by the key of the code
	Ran      int               // checks that ran
	Records  []*Record
	// Responses are the applicant's, by the number of the comment or of one thing
	// that it is about.
	Responses map[string]string
}

// Record is a comment through the rounds.
type Record struct {
	Number   int
	Key      string // see Comment.Key
	Check    string // "" where keys are left out
	Severity codebook.Severity
	Heading  string
	Since    int // the round that gave it
	State    State
	Items    []*Item
	Comment  *Comment // of this review; nil where it has none of that number
}

// Item is one thing that a comment is about: a subject of its check, or a key
// that is left out.
type Item struct {
	Number  string
	Subject string // as reports print it; "" for a key
	Nth     int    // of several subjects with one name, counted from 1
	Need    string // the key, or those of which one is enough; "" for a subject
	Keys    []string
	State   State
	Read    string   // the hash of what it read when it was last outstanding
	ComesOf []int    // the comments that it comes of now, where it is no subject itself
	Outcome *Outcome // in this review; nil for a key and for what is gone
}

// thing tells what an item is about from every other.
type thing struct {
	pair
	need string
}

func (i *Item) thing(check string) thing { return thing{pair{check, i.Subject, i.Nth}, i.Need} }

// Follow makes a review go on from the comments of an earlier one: they keep
// their numbers, and new ones continue after the highest. It comes before
// anything that asks for comments.
func (r *Review) Follow(e *Earlier) {
	r.Earlier = e
	r.given = map[thing]*Item{}
	r.record = map[thing]*Record{}
	for _, rec := range e.Records {
		for _, item := range rec.Items {
			r.given[item.thing(rec.Check)] = item
			r.record[item.thing(rec.Check)] = rec
		}
	}
	r.paired = r.pairs()
}

// numbered gives the earlier comment that is about an outcome; nil for none.
func (r *Review) numbered(o *Outcome) *Record {
	if r.Earlier == nil {
		return nil
	}
	return r.record[thing{pair: r.paired[o]}]
}

// numberedKey gives the earlier comment that is about a key left out.
func (r *Review) numberedKey(m *Missing, alone map[string]*Missing) *Record {
	if r.Earlier == nil {
		return nil
	}
	if rec := r.record[thing{pair{number: 1}, m.Need.String()}]; rec != nil {
		return rec
	}
	if len(m.Need.Keys) > 1 {
		for _, key := range m.Need.Keys {
			if other := alone[key]; other != nil {
				return r.numberedKey(other, nil)
			}
		}
	}
	return nil
}

// number gives the comments of a review their numbers, and what they are about
// theirs.
func (r *Review) number(out []*Comment) {
	next := 1
	if r.Earlier != nil {
		next = r.Earlier.Highest + 1
	}
	for _, c := range out {
		if c.earlier != nil {
			c.Number = c.earlier.Number
		} else {
			c.Number = next
			next++
		}
		if c.earlier == nil {
			continue
		}
		for _, t := range r.things(c) {
			c.items = append(c.items, r.given[t].Number)
		}
	}
	if r.Earlier != nil {
		slices.SortStableFunc(out, func(a, b *Comment) int {
			return cmp.Or(cmp.Compare(a.Severity.Rank(), b.Severity.Rank()), cmp.Compare(a.Number, b.Number))
		})
	}
}

// things are what a comment is about, in its order.
func (r *Review) things(c *Comment) []thing {
	var out []thing
	for _, o := range c.Subjects {
		out = append(out, thing{pair: r.paired[o]})
	}
	for _, m := range c.Asked() {
		out = append(out, thing{pair{number: 1}, m.Need.String()})
	}
	return out
}

// Ledger is every comment that this review and those before it gave, by number,
// with its state. A review that follows none has its own comments, all of them
// new.
func (r *Review) Ledger() []*Record {
	comments := r.Comments()
	r.ledgered.Do(func() { r.ledger = r.write(comments) })
	return r.ledger
}

// write makes the ledger.
func (r *Review) write(comments []*Comment) (ledger []*Record) {
	if r.paired == nil {
		r.paired = r.pairs()
	}
	records := map[int]*Record{}
	told := map[thing]bool{}
	if r.Earlier != nil {
		now := r.paired.outcomes()
		asked := map[string]bool{}
		for _, m := range r.Missing() {
			asked[m.Need.String()] = true
		}
		subjects := map[*Outcome]bool{}
		for _, c := range comments {
			for _, o := range c.Subjects {
				subjects[o] = true
			}
		}
		of := r.causes()
		for _, was := range r.Earlier.Records {
			rec := *was
			rec.Items = nil
			for _, item := range was.Items {
				told[item.thing(was.Check)] = true
				item = r.became(item, was.Check, now, asked)
				if item.State.Open() && item.Need == "" && !subjects[item.Outcome] {
					item.ComesOf = of[item.Outcome]
				}
				rec.Items = append(rec.Items, item)
			}
			rec.settle()
			records[rec.Number] = &rec
		}
	}
	for _, c := range comments {
		rec := records[c.Number]
		if rec == nil {
			rec = &Record{Number: c.Number, Key: c.Key(), Severity: c.Severity, Since: max(1, r.Round), State: New}
			if c.Check != nil {
				rec.Check = c.Check.ID
			}
			records[c.Number] = rec
		}
		rec.Comment, rec.Severity = c, c.Severity
		things := r.things(c)
		for i, t := range things {
			if told[t] {
				continue
			}
			item := &Item{Number: c.NumberOf(i, len(things)), Subject: t.subject, Nth: t.number, Need: t.need, State: New}
			if c.Check != nil {
				item.Outcome = c.Subjects[i]
				item.Read = r.ReadHash(item.Outcome)
			} else {
				item.Keys = c.Asked()[i].Need.Keys
			}
			rec.Items = append(rec.Items, item)
		}
	}
	for _, n := range slices.Sorted(maps.Keys(records)) {
		ledger = append(ledger, records[n])
	}
	return ledger
}

// causes lists the comments that outcomes come of.
func (r *Review) causes() map[*Outcome][]int {
	out := map[*Outcome][]int{}
	for _, c := range r.Comments() {
		for _, f := range c.Follows {
			for _, o := range f.Subjects {
				out[o] = appendNew(out[o], c.Number)
			}
		}
	}
	return out
}

// became is an item as this review finds it.
func (r *Review) became(was *Item, check string, now map[pair]*Outcome, asked map[string]bool) *Item {
	item := *was
	item.ComesOf, item.Outcome = nil, nil
	if was.Need != "" {
		switch {
		case asked[was.Need] && was.State.Open():
			item.State = Same
		case asked[was.Need]:
			item.State = Altered
		case !was.State.Open(): // it stays closed, the way that it was
		case slices.ContainsFunc(was.Keys, func(key string) bool { return r.Job.ValueOf(key) != "" }):
			item.State = Answered
		default:
			item.State = Withdrawn
		}
		return &item
	}
	o := now[was.thing(check).pair]
	item.Outcome = o
	switch {
	case o != nil && o.Outstanding():
		item.Read = r.ReadHash(o)
		item.State = Same
		if item.Read != was.Read || !was.State.Open() {
			item.State = Altered
		}
	case !was.State.Open():
	case o != nil && (o.Excused != nil || o.Result == Met):
		item.State = Answered
	default:
		item.State = Withdrawn
	}
	return &item
}

// settle gives a comment the state that the things it is about make.
func (rec *Record) settle() {
	n := map[State]int{}
	for _, item := range rec.Items {
		n[item.State]++
	}
	switch open := n[Same] + n[Altered]; {
	case open > 0 && n[Same] == len(rec.Items):
		rec.State = Same
	case open > 0:
		rec.State = Altered
	case n[Answered] > 0:
		rec.State = Answered
	default:
		rec.State = Withdrawn
	}
}

// ResponseTo is what the applicant answered under a number; "" for nothing.
func (r *Review) ResponseTo(number string) string {
	if r.Earlier == nil {
		return ""
	}
	return r.Earlier.Responses[number]
}

// Since tells what differs between the earlier review and this one besides the
// job, in sentences: rules and editions, and the job's own name.
func (r *Review) Since() []string {
	e := r.Earlier
	if e == nil {
		return nil
	}
	var out []string
	if name := r.Job.Project.Name.Value; e.Project != name {
		out = append(out, fmt.Sprintf("The earlier review is of %q, this one of %q.", e.Project, name))
	}
	if e.Rules != r.Book.Hash {
		out = append(out, fmt.Sprintf("The rule set is another one: %s then, %s now; a state may come of that.", e.Rules[:min(12, len(e.Rules))], r.Book.Hash[:min(12, len(r.Book.Hash))]))
	}
	adopted := map[string]string{}
	for _, edition := range r.Job.Adoption.Editions() {
		adopted[edition.Code.Key] = edition.Edition
	}
	if !maps.Equal(e.Adoption, adopted) {
		out = append(out, fmt.Sprintf("The adoption is another one: %s then, %s now; a state may come of that.", editionsText(e.Adoption), editionsText(adopted)))
	}
	if e.Ran != len(r.ran) {
		out = append(out, fmt.Sprintf("%d checks ran then, %d now.", e.Ran, len(r.ran)))
	}
	return out
}

func editionsText(by map[string]string) string {
	text := ""
	for _, key := range slices.Sorted(maps.Keys(by)) {
		text += ", " + key + " " + by[key]
	}
	if text == "" {
		return "none"
	}
	return text[2:]
}
