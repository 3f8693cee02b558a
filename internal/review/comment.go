package review

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/terms"
)

// Comment is one thing to do about a job: to change what a check finds, or to
// state a key that is left out. What comes of it, and goes with it, is listed
// under it.
type Comment struct {
	Number   int // from 1 in the order of the comments
	Severity codebook.Severity
	Result   Result // not met, or undetermined

	Check    *codebook.Check // whose finding it is; nil where keys are left out
	Subjects []*Outcome      // of the check, in the order of the job

	// Missing are the keys of one kind that are left out, a thing each; nil where
	// the comment is a finding.
	Missing []*Missing

	// Follows are the outcomes that come of it, by check. Each rests on what this
	// comment asks to change: on the measure that is not met, or on the key that
	// is left out. One that comes of several comments is listed under each.
	Follows []*Following

	worst   *Outcome // of its subjects, or of what waits for it
	earlier *Record  // the comment of an earlier review that it goes on from; nil for none
	items   []string // the numbers of its subjects, or of the keys that it asks for
}

// Asked are the things that a comment asks for. One of several keys is asked for
// with the others; alone where one of them is asked for by itself, that settles it.
func (c *Comment) Asked() []*Missing {
	alone := map[string]bool{}
	for _, m := range c.Missing {
		if len(m.Need.Keys) == 1 {
			alone[m.Need.Keys[0]] = true
		}
	}
	return slices.DeleteFunc(slices.Clone(c.Missing), func(m *Missing) bool {
		return len(m.Need.Keys) > 1 && slices.ContainsFunc(m.Need.Keys, func(key string) bool { return alone[key] })
	})
}

// Following is the outcomes of one check, with one result, that come of a
// comment.
type Following struct {
	Check    *codebook.Check
	Result   Result
	Subjects []*Outcome // in the order of the job
	Further  int        // how many of them come of another comment too
}

// Worst is the gravest outcome of the comment: of its subjects or, where a key
// is left out, of what waits for it.
func (c *Comment) Worst() *Outcome { return c.worst }

// Key is the name by which a comment is known again in another review of the
// job: its check, or the kind of key that is left out ("array.stand_off").
func (c *Comment) Key() string {
	if c.Check != nil {
		return c.Check.ID
	}
	return c.Missing[0].kind()
}

// Count is how many subjects the comment has: findings, or keys left out.
func (c *Comment) Count() int { return max(len(c.Subjects), len(c.Missing)) }

// NumberOf is the number of the i-th of n subjects or keys of the comment,
// counted from 0: "12", or "12.3" where there are several.
func (c *Comment) NumberOf(i, n int) string {
	if i < len(c.items) {
		return c.items[i]
	}
	if n < 2 {
		return fmt.Sprint(c.Number)
	}
	return fmt.Sprintf("%d.%d", c.Number, i+1)
}

// Followers counts the outcomes that come of the comment.
func (c *Comment) Followers() int {
	n := 0
	for _, f := range c.Follows {
		n += len(f.Subjects)
	}
	return n
}

// Ran tells how many checks the review was asked for, and how many there are.
func (r *Review) Ran() (ran, all int) { return len(r.ran), len(r.Book.Checks) }

// Checks lists the checks that the review was asked for, by their IDs.
func (r *Review) Checks() []string { return r.ran }

// Number is the number of an outcome within the comments: "12" for the only
// subject of a comment, "12.3" for one of several, and that of the first
// comment that it comes of where it is no subject itself; "" where it asks for
// nothing.
func (r *Review) Number(o *Outcome) string {
	r.Comments()
	return r.numbers[o]
}

// Comments are what is outstanding as a list of things to do, numbered: causes
// first, each with what comes of it. Together they hold every outstanding
// outcome. The gravest come first; then what is not met before what is
// undetermined, by how far it is from its limit and by how much comes of it.
func (r *Review) Comments() []*Comment {
	r.commented.Do(func() {
		r.comments = r.comment()
		r.numbers = map[*Outcome]string{}
		for _, c := range r.comments {
			for i, o := range c.Subjects {
				r.numbers[o] = c.NumberOf(i, len(c.Subjects))
			}
		}
		for _, c := range r.comments {
			for _, f := range c.Follows {
				for _, o := range f.Subjects {
					if r.numbers[o] == "" {
						r.numbers[o] = fmt.Sprint(c.Number)
					}
				}
			}
		}
	})
	return r.comments
}

func (r *Review) comment() []*Comment {
	var open []*Outcome
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Outstanding() {
			open = append(open, o)
		}
	}
	chain := r.chainOf(open)
	var out []*Comment
	byCheck := map[string]*Comment{}
	at := map[*Outcome]*Comment{}
	for _, o := range open {
		if len(o.Needs) > 0 || len(chain.causes[o]) > 0 {
			continue
		}
		key, earlier := lineOf(o), r.numbered(o)
		if earlier != nil {
			key = fmt.Sprint(o.Check.ID, " ", earlier.Number)
		}
		c := byCheck[key]
		if c == nil {
			c = &Comment{Check: o.Check, Severity: o.Check.Severity, Result: o.Result, worst: o, earlier: earlier}
			byCheck[key] = c
			out = append(out, c)
		}
		c.Subjects = append(c.Subjects, o)
		if worse(o, c.worst) < 0 {
			c.worst, c.Result = o, o.Result
		}
		at[o] = c
	}
	out = append(out, r.missingComments(chain)...)
	follows := map[*Comment][]*Outcome{}
	for _, o := range open {
		var under []*Comment
		for _, cause := range chain.causes[o] {
			if c := at[cause]; c != nil {
				under = appendNew(under, c)
			}
		}
		for _, c := range under {
			follows[c] = append(follows[c], o)
			chain.under[o]++
		}
	}
	for _, c := range out {
		listed := map[*Outcome]bool{}
		for _, m := range c.Missing {
			for _, o := range m.outcomes {
				if !listed[o] {
					listed[o] = true
					follows[c] = append(follows[c], o)
					chain.under[o]++
				}
			}
		}
	}
	for _, c := range out {
		c.Follows = following(follows[c], chain.under)
	}
	slices.SortStableFunc(out, func(a, b *Comment) int {
		return cmp.Or(worse(a.worst, b.worst), cmp.Compare(b.Followers(), a.Followers()), cmp.Compare(a.Key(), b.Key()))
	})
	r.number(out)
	return out
}

// missingComments makes a comment of each kind of key that is left out. What
// something else would answer for, but for a contradiction that is a finding, is
// not asked for: to put that right is the thing to do. Nor is what a finding asks
// to state.
func (r *Review) missingComments(ch *chain) []*Comment {
	var out []*Comment
	byKind := map[string]*Comment{}
	missing, alone := r.missing(func(o *Outcome, n Need) bool { return ch.states(o, n) == nil && !(n.Filled && len(ch.causes[o]) > 0) }), map[string]*Missing{}
	for _, m := range missing {
		if len(m.Need.Keys) == 1 {
			alone[m.Need.Keys[0]] = m
		}
	}
	for _, m := range missing {
		kind, earlier := m.kindAmong(alone), r.numberedKey(m, alone)
		if earlier != nil {
			kind = fmt.Sprint(kind, " ", earlier.Number)
		}
		c := byKind[kind]
		if c == nil {
			c = &Comment{Result: Undetermined, Severity: m.outcomes[0].Check.Severity, worst: m.outcomes[0], earlier: earlier}
			byKind[kind] = c
			out = append(out, c)
		}
		c.Missing = append(c.Missing, m)
		for _, o := range m.outcomes {
			if worse(o, c.worst) < 0 {
				c.worst, c.Severity = o, o.Check.Severity
			}
		}
	}
	for _, c := range out { // what the comment is known by, and asks for, first
		slices.SortStableFunc(c.Missing, func(a, b *Missing) int { return cmp.Compare(len(a.Need.Keys), len(b.Need.Keys)) })
	}
	return out
}

// kind is the keys of a need without the names of things.
func (m *Missing) kind() string {
	parts := make([]string, len(m.Slots))
	for i, s := range m.Slots {
		parts[i] = s.Kind()
	}
	return strings.Join(parts, " or ")
}

// kindAmong is the kind of a need; of one with alternatives, that of the key
// among them that something else needs by itself.
func (m *Missing) kindAmong(alone map[string]*Missing) string {
	if len(m.Need.Keys) > 1 {
		for _, key := range m.Need.Keys {
			if other := alone[key]; other != nil {
				return other.kind()
			}
		}
	}
	return m.kind()
}

// following parts outcomes by check and result, the gravest first.
func following(list []*Outcome, under map[*Outcome]int) []*Following {
	var out []*Following
	by := map[string]*Following{}
	for _, o := range list {
		key := lineOf(o)
		f := by[key]
		if f == nil {
			f = &Following{Check: o.Check, Result: o.Result}
			by[key] = f
			out = append(out, f)
		}
		f.Subjects = append(f.Subjects, o)
		if under[o] > 1 {
			f.Further++
		}
	}
	slices.SortStableFunc(out, func(a, b *Following) int { return worse(a.Subjects[0], b.Subjects[0]) })
	return out
}

// worse orders outcomes by severity, then not met before undetermined, then by
// how far they are from their limits.
func worse(a, b *Outcome) int {
	return cmp.Or(cmp.Compare(a.Check.Severity.Rank(), b.Check.Severity.Rank()),
		compareTrue(a.Result == NotMet, b.Result == NotMet),
		cmp.Compare(over(b), over(a)))
}

// compareTrue puts what holds before what does not.
func compareTrue(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

// chain tells which outcomes come of which.
type chain struct {
	causes map[*Outcome][]*Outcome // the first causes of an outcome that comes of others
	under  map[*Outcome]int        // the comments that it is listed under

	stating map[string]*Outcome // see the function
}

// states gives the finding that asks to state what an outcome waits for; nil where
// there is none, or one of lesser severity.
func (ch *chain) states(o *Outcome, n Need) *Outcome {
	for _, key := range n.Keys {
		if a := ch.stating[key]; a != nil && a.Check.Severity.Rank() <= o.Check.Severity.Rank() {
			return a
		}
	}
	return nil
}

// lineOf is what makes outcomes one comment, or one line below one.
func lineOf(o *Outcome) string { return o.Check.ID + " " + string(o.Result) }

// chainOf finds what comes of what among outstanding outcomes. An outcome comes
// of a finding when it rests on everything that the finding measured: whatever
// puts the measure right changes it too. Where two statements of one thing differ
// (a limit to be equalled), it is enough that its
// measure rests on the same numbers of the job. Of one that is undetermined, that has to
// be so of the value that could not be computed. Of outcomes with the same measure the
// one farthest from its limit is the cause. A finding is no cause of a graver
// one, which must not disappear below it.
func (r *Review) chainOf(open []*Outcome) *chain {
	ch := &chain{causes: map[*Outcome][]*Outcome{}, under: map[*Outcome]int{}}
	rank := map[string]int{} // of each check with its result, as its worst outcome stands
	sorted := slices.Clone(open)
	slices.SortStableFunc(sorted, func(a, b *Outcome) int { return cmp.Or(worse(a, b), cmp.Compare(a.Check.ID, b.Check.ID)) })
	var rests []*terms.Value
	for i, o := range sorted {
		if _, ranked := rank[lineOf(o)]; !ranked {
			rank[lineOf(o)] = i
		}
		rests = append(rests, o.decided()...)
	}
	var one terms.Identity
	if r.taken > 0 {
		one = terms.Identity{}
	}
	above := terms.AboveOf(one, rests...)
	byRest, byOpen := map[*terms.Value][]*Outcome{}, map[*terms.Value][]*Outcome{}
	var measured []*measuredOn
	byMeasure := map[terms.List]*measuredOn{}
	origins := map[*Outcome][]*terms.Value{}
	lines := map[string][]*Outcome{} // what is not met, by line
	var order []string
	for _, o := range sorted {
		on := o.decided()
		if o.Result == Undetermined {
			on = one.All(terms.Origins(on...))
			origins[o] = on
			for _, v := range on {
				byOpen[v] = append(byOpen[v], o)
			}
		}
		for _, v := range on {
			v = one.One(v)
			byRest[v] = append(byRest[v], o)
		}
		m := o.measures()
		for _, v := range m {
			on := r.places.gathered.List(v)
			if byMeasure[on] == nil {
				byMeasure[on] = &measuredOn{keys: map[string]bool{}}
				for _, read := range r.places.gathered.Reads(on) {
					byMeasure[on].keys[read.Key] = true
				}
				measured = append(measured, byMeasure[on])
			}
			byMeasure[on].outcomes = append(byMeasure[on].outcomes, o)
		}
		if o.Result == NotMet && len(m) > 0 {
			line := fmt.Sprint(o.Check.ID, " ", len(m))
			if lines[line] == nil {
				order = append(order, line)
			}
			lines[line] = append(lines[line], o)
		}
	}
	// The outcomes that an outcome comes of, one of each line: they make one
	// comment, and a large job has thousands.
	direct := map[*Outcome][]*Outcome{}
	comesOf := func(b, a *Outcome) bool {
		return slices.ContainsFunc(direct[b], func(o *Outcome) bool { return o.Check == a.Check && o.Result == a.Result })
	}
	causes := func(a, b *Outcome) {
		if b.Check != a.Check && a.Check.Severity.Rank() <= b.Check.Severity.Rank() && !comesOf(b, a) {
			direct[b] = append(direct[b], a)
		}
	}
	for _, line := range order {
		all := lines[line]
		measures := make([][]*terms.Value, len(all[0].measures())) // by their place in the measure
		for _, a := range all {
			for i, v := range a.measures() {
				measures[i] = append(measures[i], one.One(v))
			}
		}
		each := func(above func([]*terms.Value) []terms.Reached, those map[*terms.Value][]*Outcome) {
			for _, r := range onAll(measures, above) {
				for _, b := range those[r.Value] {
					causes(all[r.From], b)
				}
			}
		}
		each(above.Values, byRest)
		each(above.Stated, byOpen)
		if all[0].LimitKind == codebook.Equals {
			tried := map[terms.List]bool{}
			for _, a := range all {
				on := r.places.gathered.List(a.measures()...)
				if tried[on] {
					continue
				}
				tried[on] = true
				keys := r.numbersIn(on)
				if len(keys) == 0 {
					continue
				}
				for _, l := range measured {
					if !l.has(keys) {
						continue
					}
					for _, b := range l.outcomes {
						causes(a, b)
					}
				}
			}
		}
	}
	// Findings whose remedies change one thing of the job are one thing to do. One
	// that may be put right by several things comes of a finding on any of them.
	byMend := map[string][]*Outcome{}
	changes := map[*Outcome][]string{}
	for _, o := range sorted {
		if o.Result == NotMet {
			changes[o] = r.changes(o)
		}
		for _, key := range changes[o] {
			if len(o.mends) > 0 {
				byMend[key] = append(byMend[key], o)
			}
		}
	}
	for _, a := range sorted {
		if len(changes[a]) == 1 {
			for _, b := range byMend[changes[a][0]] {
				causes(a, b)
			}
		}
	}
	type openLine struct {
		line  string
		first *terms.Value
		n     int
	}
	tried := map[openLine]bool{}
	for _, a := range sorted {
		if len(a.Needs) > 0 || len(origins[a]) == 0 {
			continue
		}
		key := openLine{lineOf(a), origins[a][0], len(origins[a])}
		if tried[key] {
			continue
		}
		tried[key] = true
		for _, b := range byOpen[origins[a][0]] {
			if rank[lineOf(a)] < rank[lineOf(b)] && containsAll(origins[b], origins[a]) {
				causes(a, b)
			}
		}
	}
	// What a finding asks to state need not be asked for again.
	ch.stating = stating(sorted)
	for _, b := range sorted {
		for _, n := range b.Needs {
			if a := ch.states(b, n); a != nil {
				causes(a, b)
			}
		}
	}
	// Where two come of each other the worse one is the cause.
	for _, b := range sorted {
		direct[b] = slices.DeleteFunc(direct[b], func(a *Outcome) bool { return comesOf(a, b) && rank[lineOf(b)] < rank[lineOf(a)] })
	}
	for _, o := range sorted {
		if first := firstCauses(o, direct); len(first) > 0 {
			ch.causes[o] = first
		}
	}
	return ch
}

// onAll gives what rests on something of every place of a measure, told by the
// place in which most differ: it says best of which outcome it comes.
func onAll(places [][]*terms.Value, above func([]*terms.Value) []terms.Reached) []terms.Reached {
	best, most := 0, 0
	for i, list := range places {
		distinct := map[*terms.Value]bool{}
		for _, x := range list {
			distinct[x] = true
		}
		if len(distinct) > most {
			best, most = i, len(distinct)
		}
	}
	if len(places) == 0 {
		return nil
	}
	out := above(places[best])
	for i, list := range places {
		if i == best {
			continue
		}
		among := map[*terms.Value]bool{}
		for _, r := range above(list) {
			among[r.Value] = true
		}
		out = slices.DeleteFunc(out, func(r terms.Reached) bool { return !among[r.Value] })
	}
	return out
}

// measuredOn are the outcomes with a value in their measure that rests on the same
// keys of the job.
type measuredOn struct {
	keys     map[string]bool
	outcomes []*Outcome
}

func (m *measuredOn) has(keys []string) bool {
	return !slices.ContainsFunc(keys, func(key string) bool { return !m.keys[key] })
}

func containsAll[T comparable](list, all []T) bool {
	return !slices.ContainsFunc(all, func(x T) bool { return !slices.Contains(list, x) })
}

// numbersIn lists the keys of numbers that the job states, of a list of keys.
func (r *Review) numbersIn(on terms.List) []string {
	var out []string
	for _, read := range r.places.gathered.Reads(on) {
		if s, ok := r.Job.Slot(read.Key); ok && read.At.Known() && s.Field.Number() {
			out = append(out, read.Key)
		}
	}
	return out
}

// changes lists the keys of what the remedy of a finding asks to change: the
// given values that its check names, the one number or size that drives a computed
// one, or all that stand behind it, or else a given value that is the measure
// itself.
func (r *Review) changes(o *Outcome) []string {
	var out []string
	add := func(v *terms.Value) {
		if key, given := v.Given(); given {
			out = appendNew(out, key)
			return
		}
		var behind []string
		for _, read := range v.Reads() {
			s, ok := r.Job.Slot(read.Key)
			if !ok || !read.At.Known() || !s.Field.Number() && s.Field.Kind != job.KindSize {
				continue
			}
			if read.At == v.At {
				behind = []string{read.Key}
				break
			}
			behind = append(behind, read.Key)
		}
		for _, key := range behind {
			out = appendNew(out, key)
		}
	}
	for _, v := range o.mends {
		add(v)
	}
	if m := o.measures(); len(o.mends) == 0 && o.measured > 0 && len(m) == 1 {
		if _, given := m[0].Given(); given {
			add(m[0])
		}
	}
	return out
}

// stating gives, by the key, the findings whose remedy is to state a key that the
// job leaves out: the gravest of each.
func stating(sorted []*Outcome) map[string]*Outcome {
	out := map[string]*Outcome{}
	for _, o := range sorted {
		for _, v := range o.mends {
			for _, n := range v.Needs {
				for _, key := range n.Keys() {
					if out[key] == nil {
						out[key] = o
					}
				}
			}
		}
	}
	return out
}

func appendNew[T comparable](list []T, x T) []T {
	if slices.Contains(list, x) {
		return list
	}
	return append(list, x)
}

// firstCauses follows the causes of an outcome to those that have none.
func firstCauses(o *Outcome, direct map[*Outcome][]*Outcome) []*Outcome {
	var out []*Outcome
	seen := map[*Outcome]bool{o: true}
	var walk func(o *Outcome)
	walk = func(o *Outcome) {
		for _, cause := range direct[o] {
			if seen[cause] {
				continue
			}
			seen[cause] = true
			if len(direct[cause]) == 0 {
				out = append(out, cause)
			}
			walk(cause)
		}
	}
	walk(o)
	return out
}

// measures are the values that the measure of the check is made of, or the plain
// condition that it has instead, without the things that were passed on the way
// to them.
func (o *Outcome) measures() []*terms.Value {
	reads := o.reads
	if o.measured > 0 {
		reads = reads[:o.measured]
	} else { // among several things of a kind it looks for one: what each of them says is no measure
		reads = slices.DeleteFunc(slices.Clone(reads), func(r codebook.Read) bool {
			return slices.ContainsFunc(o.reads, func(other codebook.Read) bool {
				return other.Subject.Kind == r.Subject.Kind && other.Subject != r.Subject
			})
		})
	}
	var out []*terms.Value
	for _, r := range reads {
		if !r.Leads() {
			out = append(out, r.Value)
		}
	}
	return out
}
