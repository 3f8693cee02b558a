// Package review holds a codebook against one job: every adopted check against
// every thing it applies to. Each pair of check and subject gets exactly one
// outcome. The package knows no report format.
package review

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"
	"strings"
	"sync"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/parallel"
	"plumbrule/internal/quantity"
	"plumbrule/internal/source"
	"plumbrule/internal/table"
	"plumbrule/internal/terms"
)

// Result is how a check came out for one subject.
type Result string

const (
	Met           Result = "met"
	NotMet        Result = "not met"
	Undetermined  Result = "undetermined"
	NotApplicable Result = "not applicable"
)

// Amount is a measured or limiting value: its number in a fixed unit for
// machines and its text in the writer's units for people.
type Amount struct {
	Text  string
	Value float64
	Unit  string // base unit of the dimension; "" for plain numbers
	IsNum bool   // false for a text, a yes or no
}

// Citation is where a rule stands under the adopted edition.
type Citation struct {
	Code, Edition, Section, Note string
}

// Need is a key that the job leaves out, with the place where it belongs; or
// several keys of which one is enough.
type Need struct {
	Keys []string // at least one
	At   source.Span

	// Filled says that something else of the job would answer for the key, but for
	// one of the reasons of the outcome: to put that right does as well.
	Filled bool
}

// String gives the need in words.
func (n Need) String() string { return strings.Join(n.Keys, " or ") }

// Outcome is the result of one check for one subject.
type Outcome struct {
	Check   *codebook.Check
	Subject *terms.Subject
	Result  Result
	Excused *Deviation // the deviation that excuses it; nil where none does
	Claimed *Deviation // the deviation that the job claims for it, where a claim does not count
	Listed  bool       // it stands on the list of what was there before

	Measure, Limit *Amount
	LimitKind      codebook.LimitKind
	Utilisation    *float64 // demand over limit; nil where it has no meaning

	Finding string // what is wrong, in a sentence
	Remedy  string // what would pass
	Reason  string // why it could not be determined; Why also tells why it does not apply

	Needs   []Need   // keys that the job leaves out; only where undetermined
	Reasons []string // why it is undetermined besides keys left out, one by one

	At    source.Span // the value that drives it
	Cites []Citation
	// Unconfirmed lists the table values used that were not seen in a
	// published source; a reader has to verify them.
	Unconfirmed []string
	// Defect is set when the check itself failed; such a review cannot pass.
	Defect string

	unwritten string // the adopted editions that the check says nothing for, in words; "" for none

	reads    []codebook.Read              // the terms that the measure and the limit read
	measured int                          // how many of them the measure read, which come first
	rests    []*terms.Value               // all that the condition, the measure and the limit rest on
	by       *terms.Value                 // what the measure and the limit rest on, without what sentences read; nil where the condition settled it
	places   *places                      // of what the outcomes of its review rest on
	mends    []*terms.Value               // of what is not met, what the remedy asks to change besides the measure
	place    func(key string) source.Span // where the value of a key stands; nil: where it was read
	sys      quantity.System
	untold   *terms.Model // where the check does not apply and nobody has asked why yet; nil: Reason
}

// Why is the reason why the check does not apply or could not be determined;
// "" where it was.
func (o *Outcome) Why() string {
	if o.untold != nil { // for most of a large job nobody asks
		return "does not apply: " + o.Check.Evaluate(o.untold, o.Subject).Because(o.sys)
	}
	return o.Reason
}

// Refs are the table values that the outcome rests on, each once, in the order
// of reading.
func (o *Outcome) Refs() []table.Ref {
	var out []table.Ref
	seen := map[table.Ref]bool{}
	for _, r := range o.reads {
		for _, ref := range r.Value.Refs {
			if !seen[ref] {
				seen[ref] = true
				out = append(out, ref)
			}
		}
	}
	return out
}

// Work is the calculation with numbers put in, a line a step, ending with
// what Held says. It is put into words when asked for, since most outcomes of
// a large job are never read.
func (o *Outcome) Work() []string {
	out := o.Steps()
	if held := o.Held(); held != "" {
		out = append(out, held)
	}
	return out
}

// Steps is the calculation up to the measure and the limit, a line a step.
// It begins with how each value came about that the job leaves out.
func (o *Outcome) Steps() []string {
	var out []string
	for _, s := range o.Stages() {
		out = append(out, s.Lines()...)
	}
	return out
}

// Stage is a part of a calculation: a value that was worked out, or one that
// answers for a key that the job leaves out. Stages are equal where outcomes
// share the value.
type Stage struct {
	value   *terms.Value
	filling *terms.Filling
	sys     quantity.System
}

// Lines puts the stage into words, a line a step.
func (s Stage) Lines() []string {
	if s.filling != nil {
		return s.filling.Lines(s.sys)
	}
	return s.value.Work(s.sys)
}

// Stages are the parts of the calculation in their order; see Steps.
func (o *Outcome) Stages() []Stage {
	var out []Stage
	for _, f := range terms.FillingsOf(o.rests...) {
		out = append(out, Stage{filling: f, sys: o.sys})
	}
	for _, r := range o.reads {
		if r.Value.Work != nil && !r.Value.Fills() {
			out = append(out, Stage{value: r.Value, sys: o.sys})
		}
	}
	return out
}

// Held says how the measure was held against the limit; "" where it was not.
func (o *Outcome) Held() string {
	if o.Measure == nil || o.Limit == nil {
		return ""
	}
	switch o.Result {
	case Met:
		return fmt.Sprintf("%s %s %s: met", o.Measure.Text, o.LimitKind, o.Limit.Text)
	case NotMet:
		return fmt.Sprintf("%s %s %s: NOT met", o.Measure.Text, o.LimitKind, o.Limit.Text)
	}
	return ""
}

// Outstanding reports whether the outcome still asks something of somebody.
func (o *Outcome) Outstanding() bool {
	return o.Excused == nil && (o.Result == NotMet || o.Result == Undetermined)
}

// Totals counts outcomes. Met, NotMet, Undetermined, NotApplicable and Excused
// add up to Pairs.
type Totals struct {
	Pairs, Met, NotMet, Undetermined, NotApplicable, Excused int
	// Claimed and Listed count outstanding outcomes: those that a deviation of the
	// job is claimed for, and those on the list of what was there before.
	Claimed, Listed int
	// Outstanding counts not met and undetermined outcomes by severity.
	Outstanding map[codebook.Severity]int
}

// Review is one finished review.
type Review struct {
	Job        *job.Job
	Book       *codebook.Codebook
	Model      *terms.Model // the job as the checks saw it, for drawings
	System     quantity.System
	Adopted    map[string]string // edition by the name of the code, stated or settled by another
	Outcomes   []Outcome         // by check ID, then in the order of the job
	Totals     Totals
	Idle       []string        // checks that had nothing to look at
	Deviations []*Deviation    // those granted, then those claimed by the job
	Standing   *Standing       // the list of what was there before; nil for none
	Round      int             // of review, counted from 1; 0 is the first
	Earlier    *Earlier        // the review whose comments this one goes on from; see Follow
	ran        []string        // checks that were asked for
	starts     []int           // where the outcomes of each of them begin, and the end; nil where some are only counted
	subjects   []int           // how many each of them looked at
	counted    []counted       // of each of them, what is only counted; nil where every outcome is kept
	taken      int             // outcomes taken over from an earlier review
	leave      Leave           // which deviations count
	departing  map[string]bool // checks that any deviation is from

	readers func() *terms.Readers // who read what, looked through when first asked
	places  *places
	facts   func() []*Fact // see Facts, gathered when first asked
	others  []Outcome      // of checks that were not asked for, where one that gathers was

	commented sync.Once
	comments  []*Comment
	numbers   map[*Outcome]string // of outstanding outcomes
	ledgered  sync.Once
	ledger    []*Record
	paired    pairing           // which pair each outcome is about, once it was asked
	given     map[thing]*Item   // what earlier comments are about
	record    map[thing]*Record // whose they are
}

// ErrNothingRan is returned for a job that no check had anything to say about.
var ErrNothingRan = errors.New("no check found anything to look at in this job")

// Options narrow a review.
type Options struct {
	// Only names the checks to run; nil runs all.
	Only []string
	// Leave says which deviations count.
	Leave Leave
	// Standing is the list of what was there before; nil for none.
	Standing *Standing
	// Brief keeps outcomes only that ask something of somebody, or rest on what is
	// assumed, and counts the others, as far as nothing needs them: a deviation, or a
	// paper that is read. Nothing can be asked of such a review about what is met.
	Brief bool
	// Under puts each reading of a session's job under the word of an authority; nil
	// leaves it as it is. Run does not use it.
	Under func(*job.Job) *job.Job
}

// Run reviews a job. The error is source.Faults when the job names a check
// that does not exist or a rule of a third party has no value or takes too long, and ErrNothingRan when no check ran.
func Run(j *job.Job, book *codebook.Codebook, tables *table.Set, o Options) (*Review, error) {
	return run(j, book, tables, o, nil)
}

// run reviews a job and takes over what an earlier review may give.
func run(j *job.Job, book *codebook.Codebook, tables *table.Set, o Options, before *earlier) (*Review, error) {
	if err := o.Leave.faults(j, book); err != nil {
		return nil, err
	}
	r := &Review{Job: j, Book: book, System: j.System(), leave: o.Leave, departing: departures(j, o.Leave), Standing: o.Standing}
	r.readers = sync.OnceValue(r.lookThrough)
	r.facts = sync.OnceValue(r.gatherFacts)
	m := terms.New(j, tables)
	r.Model = m
	r.Adopted = adopted(m)
	if before != nil && !maps.Equal(before.review.Adopted, r.Adopted) {
		before = nil // an edition decides which checks hold
	}
	checks := book.Checks
	if o.Only != nil {
		checks = nil
		for _, id := range o.Only {
			if c := book.Check(id); c != nil {
				checks = append(checks, c)
			}
		}
	}
	for _, c := range checks {
		r.ran = append(r.ran, c.ID)
	}
	taken := make([][]*Outcome, len(checks))
	for i, c := range checks {
		taken[i] = before.outcomes(i, c.Each)
		for _, o := range taken[i] {
			if o != nil {
				r.taken++
			}
		}
	}
	if o.Brief && before == nil && !slices.ContainsFunc(j.Documents, func(d job.Document) bool { return d.Paper != nil }) {
		r.brief(m, checks)
	} else {
		r.Outcomes, r.starts = runChecks(m, checks, r.Adopted, r.System, taken)
		for i := range checks {
			r.subjects = append(r.subjects, r.starts[i+1]-r.starts[i])
		}
	}
	if !slices.ContainsFunc(r.subjects, func(n int) bool { return n > 0 }) {
		return nil, ErrNothingRan
	}
	r.places = &places{likes: j.Likes, also: map[toAlso][]source.Span{}}
	for i := range r.Outcomes {
		r.Outcomes[i].places = r.places
	}
	for i, c := range checks {
		if r.subjects[i] == 0 {
			r.Idle = append(r.Idle, c.ID)
		}
	}
	rest := unasked(book, checks)
	others, _ := runChecks(m, rest, r.Adopted, r.System, make([][]*Outcome, len(rest)))
	if err := m.Faults(); err != nil {
		return nil, err
	}
	r.gather(others)
	r.gatherAssumed(others)
	r.others = others
	r.gatherSheets()
	r.depart()
	r.stand()
	r.count()
	return r, nil
}

// runChecks holds checks against all their subjects. The outcomes of check i run
// from starts[i] to starts[i+1].
func runChecks(m *terms.Model, checks []*codebook.Check, adopted map[string]string, sys quantity.System, taken [][]*Outcome) (out []Outcome, starts []int) {
	subjects := make([][]*terms.Subject, len(checks))
	parallel.Each(len(checks), func(i int) { subjects[i] = m.Subjects(checks[i].Each.Name) })
	starts = make([]int, 1, len(checks)+1)
	for i := range checks {
		starts = append(starts, starts[i]+len(subjects[i]))
	}
	out = make([]Outcome, starts[len(checks)])
	parallel.Each(len(checks), func(i int) {
		newHolding(m, checks[i], adopted, sys).all(out[starts[i]:starts[i+1]], subjects[i], taken[i])
	})
	return out, starts
}

// adopted gives the edition of each code by the code's name, as the job states
// it or as another adopted code settles it.
func adopted(m *terms.Model) map[string]string {
	out := map[string]string{}
	for _, s := range m.Subjects("adoption") {
		for _, c := range job.Codes {
			if v := m.Term(s, c.Key); len(v.Needs) == 0 {
				out[c.Name] = v.V.(string)
			}
		}
	}
	return out
}

// Held gives what another form of a check comes to for a subject of the review,
// with the terms that the review has computed.
func (r *Review) Held(c *codebook.Check, s *terms.Subject) Outcome {
	return newHolding(r.Model, c, r.Adopted, r.System).hold(s)
}

// undetermined settles an outcome that hangs on what is not known: on keys
// that the job leaves out, or on nothing but the reason.
func (o *Outcome) undetermined(needs []terms.Need, reason string) {
	o.Result, o.Reason, o.Needs, o.Reasons = Undetermined, reason, nil, nil
	for _, n := range needs {
		if keys := n.Keys(); keys == nil {
			o.Reasons = append(o.Reasons, n.String())
		} else {
			o.Needs = append(o.Needs, Need{keys, n.At, n.Filled})
		}
	}
	// One of several keys is no need of its own where one of them is needed by itself.
	o.Needs = slices.DeleteFunc(o.Needs, func(n Need) bool {
		return len(n.Keys) > 1 && slices.ContainsFunc(needs, func(other terms.Need) bool {
			return len(other.Keys()) == 1 && slices.Contains(n.Keys, other.Key)
		})
	})
	if len(needs) == 0 {
		o.Reasons = []string{reason}
	}
}

// fail makes an outcome undetermined: for missing values with their keys, for
// anything else as a defect of the check.
func (o *Outcome) fail(err error) {
	var missing *codebook.Missing
	if errors.As(err, &missing) {
		o.undetermined(missing.Needs, missing.Error())
		return
	}
	o.undetermined(nil, fmt.Sprintf("check %s failed: %v", o.Check.ID, err))
	o.Defect = err.Error()
}

// locate points at the value of the job that drives the outcome.
func (o *Outcome) locate(e *codebook.Evaluation, s *terms.Subject) {
	o.At = s.At
	for _, r := range e.Reads() {
		at := r.Value.At
		if len(r.Value.Needs) > 0 {
			at = r.Value.Needs[0].At
		}
		if at.Known() && !r.Leads() {
			o.At = at
			return
		}
	}
}

// Reads lists every key of the job that the outcome rests on, each once: what
// the condition read, then what the measure and the limit read.
func (o *Outcome) Reads() []terms.Read {
	reads := terms.ReadsOf(o.rests...)
	for i, r := range reads {
		if o.place != nil && r.At.Known() {
			reads[i].At = o.place(r.Key)
		}
	}
	return reads
}

// decided is what the measure and the limit rest on, or the condition where it
// settled the outcome.
func (o *Outcome) decided() []*terms.Value {
	if o.by != nil {
		return []*terms.Value{o.by}
	}
	return o.rests[max(0, len(o.rests)-1):]
}

// held are the values that the measure and the limit read; what settled the
// condition, where that settled the outcome.
func (o *Outcome) held() []*terms.Value {
	if len(o.reads) == 0 {
		return o.decided()
	}
	out := make([]*terms.Value, len(o.reads))
	for i, r := range o.reads {
		out[i] = r.Value
	}
	return out
}

// explain keeps what the measure and the limit read, and names the weak table
// values among it.
func (o *Outcome) explain(e *codebook.Evaluation) {
	o.reads = slices.Clone(e.Reads())
	var weak []table.Ref
	for _, r := range o.reads {
		for _, ref := range r.Value.Refs {
			if ref.Provenance != table.Published && !slices.Contains(weak, ref) {
				weak = append(weak, ref)
				o.Unconfirmed = append(o.Unconfirmed, ref.String())
			}
		}
	}
}

// decide holds the measure against the limit. Equality within the relative
// tolerance of package quantity meets a limit.
func (o *Outcome) decide(m, l, room codebook.Result, measured bool) {
	ok := false
	switch {
	case !measured:
		ok = l.Flag
	case o.LimitKind == codebook.AtMost:
		ok = quantity.AtMost(m.Number, l.Number)
	case o.LimitKind == codebook.AtLeast:
		ok = quantity.AtLeast(m.Number, l.Number)
	case m.Form == codebook.IsText:
		ok = m.Text == l.Text
	default:
		ok = quantity.Near(m.Number, l.Number) || quantity.AtMost(math.Abs(m.Number-l.Number), room.Number)
	}
	o.Result = NotMet
	if ok {
		o.Result = Met
	}
	o.Utilisation = utilisation(m, l, o.LimitKind, measured)
}

// utilisation is demand over limit: above one is not met. It has no meaning
// for texts, conductor sizes, points on a temperature scale and limits that
// are not above zero.
func utilisation(m, l codebook.Result, kind codebook.LimitKind, measured bool) *float64 {
	if !measured || m.Form > codebook.IsCount || m.Dim == quantity.Temperature && m.Form == codebook.IsQuantity {
		return nil
	}
	top, bottom := m.Number, l.Number
	switch kind {
	case codebook.AtLeast:
		top, bottom = l.Number, m.Number
	case codebook.AtMost:
	default:
		return nil
	}
	if bottom <= 0 || top < 0 {
		return nil
	}
	u := top / bottom
	return &u
}

// phrase completes the sentences that every finding needs.
func (o *Outcome) phrase(measured bool) {
	if o.Result != NotMet {
		return
	}
	if o.Finding == "" {
		o.Finding = "this is not so"
		if measured {
			o.Finding = fmt.Sprintf("found %s; %s %s is wanted", o.Measure.Text, o.LimitKind, o.Limit.Text)
		}
	}
	if o.Remedy == "" {
		o.Remedy = "what the title asks for"
		if measured {
			o.Remedy = fmt.Sprintf("%s %s", o.LimitKind, o.Limit.Text)
		}
	}
}

// like makes a plain number that limits a share a share too, so that both are
// printed alike.
func like(limit, measure codebook.Result) codebook.Result {
	if limit.Form == codebook.IsNumber && measure.Form == codebook.IsQuantity && measure.Dim == quantity.Ratio {
		limit.Form, limit.Dim, limit.Unit = codebook.IsQuantity, measure.Dim, measure.Unit
	}
	return limit
}

func amount(r codebook.Result, sys quantity.System) *Amount {
	a := &Amount{Text: r.Print(sys), Value: r.Number}
	switch r.Form {
	case codebook.IsQuantity:
		a.IsNum, a.Unit = true, r.Dim.BaseUnit()
	case codebook.IsNumber, codebook.IsCount:
		a.IsNum = true
	}
	return a
}

func (r *Review) count() {
	t := Totals{Pairs: len(r.Outcomes), Outstanding: map[codebook.Severity]int{}}
	for _, n := range r.counted {
		t.Pairs += n.met + n.outside
		t.Met += n.met
		t.NotApplicable += n.outside
	}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		switch {
		case o.Excused != nil:
			t.Excused++
			continue
		case o.Result == Met:
			t.Met++
		case o.Result == NotMet:
			t.NotMet++
		case o.Result == Undetermined:
			t.Undetermined++
		default:
			t.NotApplicable++
		}
		if o.Outstanding() {
			t.Outstanding[o.Check.Severity]++
			if o.Claimed != nil {
				t.Claimed++
			}
			if o.Listed {
				t.Listed++
			}
		}
	}
	r.Totals = t
}

// Defects lists the checks that failed to run.
func (r *Review) Defects() []string {
	var out []string
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Defect != "" {
			out = append(out, fmt.Sprintf("%s for %s: %s", o.Check.ID, o.Subject.Label(), o.Defect))
		}
	}
	return out
}

// Worst returns the outstanding and excused outcomes, gravest first: by
// severity, not met before undetermined, then by utilisation, check and place.
func (r *Review) Worst() []*Outcome {
	var out []*Outcome
	for i := range r.Outcomes {
		if o := &r.Outcomes[i]; o.Result == NotMet || o.Result == Undetermined {
			out = append(out, o)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if x, y := a.Check.Severity.Rank(), b.Check.Severity.Rank(); x != y {
			return x < y
		}
		if a.Result != b.Result {
			return a.Result == NotMet
		}
		if x, y := over(a), over(b); x != y {
			return x > y
		}
		return a.Check.ID < b.Check.ID
	})
	return out
}

// over is the utilisation for sorting, without the noise of rounding, so that
// like subjects stay in the order of the job.
func over(o *Outcome) float64 {
	if o.Utilisation == nil {
		return 0
	}
	return math.Round(*o.Utilisation*1e6) / 1e6
}
