package wording

import (
	"sort"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
)

// Group is every finding of one check with the same result, worst first.
type Group struct {
	Check   *codebook.Check
	Result  review.Result
	Excused bool
	List    []*review.Outcome
}

// Discipline is the findings of one folder of checks.
type Discipline struct {
	Name        string
	Groups      []*Group // outstanding ones worst first, then excused ones
	Outstanding map[codebook.Severity]int
	Count       map[review.Result]int // of outcomes that are not excused
	Excused     int
	Pairs       int
}

// Disciplines sorts the outcomes of a review into disciplines, the one with
// the gravest finding first, those without any last and by name.
func Disciplines(r *review.Review) []*Discipline {
	byName := map[string]*Discipline{}
	var order []*Discipline
	of := func(name string) *Discipline {
		d := byName[name]
		if d == nil {
			d = &Discipline{Name: name, Outstanding: map[codebook.Severity]int{}, Count: map[review.Result]int{}}
			byName[name] = d
			order = append(order, d)
		}
		return d
	}
	worst := r.Worst()
	sort.SliceStable(worst, func(i, j int) bool { return worst[i].Excused == nil && worst[j].Excused != nil })
	for _, o := range worst {
		of(o.Check.Discipline).add(o)
	}
	found := len(order)
	for _, n := range r.Tallies() {
		d := of(n.Check.Discipline)
		d.Pairs += n.Pairs
		d.Excused += n.Excused
		d.Count[review.Met] += n.Met
		d.Count[review.NotMet] += n.NotMet
		d.Count[review.Undetermined] += n.Undetermined
		d.Count[review.NotApplicable] += n.NotApplicable
		d.Outstanding[n.Check.Severity] += n.NotMet + n.Undetermined
	}
	sort.Slice(order[found:], func(i, j int) bool { return order[found+i].Name < order[found+j].Name })
	return order
}

// add puts a finding into the group of its like.
func (d *Discipline) add(o *review.Outcome) {
	for _, g := range d.Groups {
		if g.Check == o.Check && g.Result == o.Result && g.Excused == (o.Excused != nil) {
			g.List = append(g.List, o)
			return
		}
	}
	d.Groups = append(d.Groups, &Group{o.Check, o.Result, o.Excused != nil, []*review.Outcome{o}})
}
