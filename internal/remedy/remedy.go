// Package remedy searches what would put a finding right. A check declares in its
// rule file what may vary and in which steps; each step is tried by a review of the
// changed job, so that no value is reported that was not held against all checks.
// It knows no code, and changes no job.
package remedy

import (
	"cmp"
	"slices"

	"plumbrule/internal/bound"
	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
)

// Remedy is what came of varying one value of a job for one comment.
type Remedy struct {
	Comment *review.Comment
	Vary    *codebook.Vary
	Key     string // of the job; "" where nothing could be varied
	Old     string // the value as it is, as a job writes it

	Passes  bool   // the subjects of the comment that hang on the value are met with New
	Clean   bool   // nothing is worse with New than it was
	New     string // the nearest value that passes, a clean one before any other; the nearest miss where none does; "" where none was tried
	Value   any    // New as an edit of the job sets it
	Tried   int    // values that were tried
	Bounded bool   // there were more values than may be tried

	Before, After *float64 // worst utilisation of those subjects, as they are and with New; nil where it has no meaning
	Worse         []Turn   // what is new or graver with New
	Better        []Turn   // what is no longer outstanding with New, besides the subjects themselves

	Why     string          // why nothing could be tried; "" where something was
	Session *review.Session // the job with New, reviewed; nil where none was tried
}

// Turn is an outcome, or a key asked for, that a change turns.
type Turn struct {
	Check    string // "" for a key that is asked for
	Subject  string
	Severity codebook.Severity
	Was, Is  string // the results; "" where there is no such subject, or no such need
	Says     string // the finding as it is then, or was where it is gone
}

// Search looks for remedies of comments of a session's review, in the order of the
// comments, of what their checks declare and of the job. The error is one of
// reviewing; an edit that the job cannot take only ends its direction.
func Search(s *review.Session, comments []*review.Comment) ([]*Remedy, error) {
	var out []*Remedy
	left := bound.AllRemedySteps
	for _, c := range comments {
		if c.Check == nil {
			continue // a key left out has no value to vary
		}
		for _, x := range targets(s.Review(), c) {
			r := &Remedy{Comment: c, Vary: x.Vary, Key: x.Key, Why: x.Why}
			// A further declaration for a value is for where the one before it finds
			// nothing as good.
			same := slices.IndexFunc(out, func(o *Remedy) bool { return o.Comment == c && o.Key == x.Key && x.Key != "" })
			if same >= 0 && out[same].rank() == 2 {
				continue
			}
			if r.Why != "" {
				out = append(out, r)
				continue
			}
			if err := r.search(s, x, min(bound.RemedySteps, left)); err != nil {
				return nil, err
			}
			left -= r.Tried
			switch {
			case same < 0:
				out = append(out, r)
			case r.rank() > out[same].rank():
				out[same] = r
			}
		}
	}
	return out, nil
}

// target is one value that may vary for some of the subjects of a comment.
type target struct {
	codebook.Varied
	at       int // which of the declarations of the check
	subjects []*review.Outcome
}

// targets lists the values that may vary for a comment, each once; of what cannot
// vary for any subject the first reason.
func targets(r *review.Review, c *review.Comment) []*target {
	var out []*target
	for i := range c.Check.Varies {
		var list []*target
		var none *target
		for _, o := range c.Subjects {
			x := &target{Varied: c.Check.Varied(r.Model, o.Subject)[i], at: i, subjects: []*review.Outcome{o}}
			if x.Key == "" {
				if none == nil {
					none = x
				}
				continue
			}
			if n := slices.IndexFunc(list, func(t *target) bool { return t.Key == x.Key }); n >= 0 {
				list[n].subjects = append(list[n].subjects, o)
				continue
			}
			list = append(list, x)
		}
		if len(list) == 0 && none != nil {
			list = append(list, none)
		}
		out = append(out, list...)
	}
	return out
}

// search tries the values of a target from the nearest on, and keeps the first that
// is clean, else the first that passes, else the one that misses by least.
func (r *Remedy) search(s *review.Session, x *target, most int) error {
	slot, known := s.Review().Job.Slot(keyOf(x))
	if !known {
		r.Why = "the job keeps no single value under " + x.Key
		return nil
	}
	old, values, why := valuesOf(s.Review(), slot, x)
	if r.Old, r.Why = old, why; why != "" {
		return nil
	}
	r.Before = worst(x.subjects)
	alone, err := s.Only(r.Comment.Check.ID) // the others are held against what passes
	if err != nil {
		return err
	}
	var refused [2]bool
	var best *try
	for _, v := range values {
		if refused[v.side] {
			continue
		}
		if r.Tried >= most {
			r.Bounded = true
			break
		}
		next, err := alone.With(r.edits(v))
		if err != nil {
			if !unreadable(err) {
				return err
			}
			refused[v.side] = true // what the model cannot hold has nothing behind it either
			continue
		}
		r.Tried++
		t := r.hold(s.Review(), next.Review(), x)
		t.value = v
		if t.passes {
			if err := t.whole(s, r); err != nil {
				return err
			}
		}
		if best == nil || t.over(best) {
			best = t
		}
		if t.passes && len(t.worse) == 0 {
			break
		}
	}
	if best == nil {
		r.Why = "no value of " + x.Key + " lies further " + x.Direction
		return nil
	}
	if best.session == nil {
		if err := best.whole(s, r); err != nil {
			return err
		}
	}
	r.Passes, r.Clean, r.New, r.Value, r.After, r.Session = best.passes, len(best.worse) == 0, best.value.text, best.value.edit, best.after, best.session
	r.Worse, r.Better = best.worse, best.better
	return nil
}

// edits puts a value in the place of the one that the job has.
func (r *Remedy) edits(v candidate) job.Edits {
	return job.Edits{Set: map[string]any{r.Key: v.edit}}
}

// rank orders remedies of one value: clean ones, then those that pass.
func (r *Remedy) rank() int {
	switch {
	case r.Passes && r.Clean:
		return 2
	case r.Passes:
		return 1
	}
	return 0
}

// keyOf is the key of the value in the model: a coordinate is part of a point.
func keyOf(x *target) string {
	if x.Part == 0 {
		return x.Key
	}
	parts, _ := job.SplitKey(x.Key)
	key := ""
	for _, part := range parts[:len(parts)-1] {
		key = job.Join(key, part)
	}
	return key
}

// try is one value held against all checks.
type try struct {
	value         candidate
	own           map[string]bool // the subjects, by their labels
	session       *review.Session // the job with the value under all checks; nil before that was needed
	passes        bool
	failing       int  // subjects that are not met
	lost          bool // some of them are undetermined, as they were not before
	after         *float64
	worse, better []Turn
}

// over tells whether a later try is to be preferred: one that is clean, then one that
// passes, then one that misses by less. The earlier is nearer to what there is.
func (t *try) over(other *try) bool {
	rank := func(t *try) int {
		switch {
		case t.passes && len(t.worse) == 0:
			return 2
		case t.passes:
			return 1
		}
		return 0
	}
	if a, b := rank(t), rank(other); a != b || a > 0 {
		return a > b
	}
	if t.lost != other.lost {
		return other.lost
	}
	if t.failing != other.failing {
		return t.failing < other.failing
	}
	return t.after != nil && other.after != nil && *t.after < *other.after
}

// hold tells what a changed job is like for a target.
func (r *Remedy) hold(before, after *review.Review, x *target) *try {
	t := &try{own: map[string]bool{}}
	c := r.Comment.Check
	waited := map[string]bool{} // subjects that were undetermined before, which another comment is about
	for _, o := range x.subjects {
		t.own[o.Subject.Label()] = true
	}
	for i := range before.Outcomes {
		if o := &before.Outcomes[i]; o.Check == c && o.Result == review.Undetermined {
			waited[o.Subject.Label()] = true
		}
	}
	var on []*review.Outcome
	met := 0
	for i := range after.Outcomes {
		o := &after.Outcomes[i]
		if o.Check.ID != c.ID {
			continue
		}
		if o.Result == review.Undetermined && !waited[o.Subject.Label()] {
			t.lost = true // also where nothing is known any more of what hung on the value
			t.failing++
			continue
		}
		if !t.own[o.Subject.Label()] && c.Varied(after.Model, o.Subject)[x.at].Key != x.Key {
			continue
		}
		on = append(on, o)
		switch {
		case o.Result == review.Met:
			met++
		case o.Outstanding() && waited[o.Subject.Label()] && !t.own[o.Subject.Label()]:
		case o.Outstanding(), t.own[o.Subject.Label()]: // that the check no longer applies is no pass
			t.failing++
			t.lost = t.lost || o.Result != review.NotMet
		}
	}
	t.lost = t.lost || len(on) == 0
	t.passes = met > 0 && t.failing == 0
	t.after = worst(on)
	return t
}

// whole reviews the job with the value under all checks.
func (t *try) whole(s *review.Session, r *Remedy) (err error) {
	if t.session, err = s.With(r.edits(t.value)); err == nil {
		t.turns(s.Review(), t.session.Review(), r.Comment.Check, t.own)
	}
	return err
}

// turns lists what differs besides the subjects themselves.
func (t *try) turns(before, after *review.Review, c *codebook.Check, own map[string]bool) {
	d := review.Compare(before, after)
	mine := func(o *review.Outcome) bool { return o.Check.ID == c.ID && own[o.Subject.Label()] }
	// A subject that came by the change, such as a foot more, is worse only where
	// none of its check was as bad before.
	bad := map[string]float64{}
	for i := range before.Outcomes {
		if o := &before.Outcomes[i]; o.Outstanding() {
			bad[o.Check.ID] = max(bad[o.Check.ID], grave(o))
		}
	}
	for _, x := range d.New {
		if x.Before == nil && grave(x.After) <= bad[x.After.Check.ID]*(1+1e-9) {
			continue
		}
		t.worse = append(t.worse, turn(x))
	}
	for _, x := range d.Changed {
		if mine(x.After) {
			continue
		}
		if a, b := grave(x.Before), grave(x.After); b > a*(1+1e-9) {
			t.worse = append(t.worse, turn(x))
		}
	}
	for _, x := range d.Gone {
		if !mine(x.Before) {
			t.better = append(t.better, turn(x))
		}
	}
	for _, m := range d.NowMissing {
		t.worse = append(t.worse, Turn{Says: m.Need.String(), Is: "asked for"})
	}
}

// grave orders outstanding outcomes of a check: undetermined ones below those not
// met, and these by how far they are from their limit.
func grave(o *review.Outcome) float64 {
	if o.Result != review.NotMet {
		return 0.5
	}
	if o.Utilisation == nil {
		return 1
	}
	return max(1, *o.Utilisation)
}

func turn(x review.Change) Turn {
	var t Turn
	if x.Before != nil {
		t.Was = string(x.Before.Result)
		t.Check, t.Subject, t.Severity, t.Says = x.Before.Check.ID, x.Before.Subject.Label(), x.Before.Check.Severity, x.Before.Finding
	}
	if x.After != nil {
		t.Is = string(x.After.Result)
		t.Check, t.Subject, t.Severity = x.After.Check.ID, x.After.Subject.Label(), x.After.Check.Severity
		if x.After.Outstanding() {
			t.Says = cmp.Or(x.After.Finding, x.After.Reason)
		}
	}
	return t
}

// worst is the largest utilisation of outcomes; nil where none has one.
func worst(list []*review.Outcome) *float64 {
	var most *float64
	for _, o := range list {
		if u := o.Utilisation; u != nil && (most == nil || *u > *most) {
			most = u
		}
	}
	return most
}
