package report

import (
	"sort"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
)

// group is every finding of one check with the same result, worst first.
type group struct {
	check   *codebook.Check
	result  review.Result
	excused bool
	list    []*review.Outcome
}

// discipline is the findings of one folder of checks.
type discipline struct {
	name        string
	groups      []*group // outstanding ones worst first, then excused ones
	outstanding map[codebook.Severity]int
	count       map[review.Result]int // of outcomes that are not excused
	excused     int
	pairs       int
}

// disciplines sorts the outcomes of a review into disciplines, the one with
// the gravest finding first, those without any last and by name.
func disciplines(r *review.Review) []*discipline {
	byName := map[string]*discipline{}
	var order []*discipline
	of := func(name string) *discipline {
		d := byName[name]
		if d == nil {
			d = &discipline{name: name, outstanding: map[codebook.Severity]int{}, count: map[review.Result]int{}}
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
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		d := of(o.Check.Discipline)
		d.pairs++
		switch {
		case o.Excused != nil:
			d.excused++
		default:
			d.count[o.Result]++
		}
		if o.Outstanding() {
			d.outstanding[o.Check.Severity]++
		}
	}
	sort.Slice(order[found:], func(i, j int) bool { return order[found+i].name < order[found+j].name })
	return order
}

// add puts a finding into the group of its like.
func (d *discipline) add(o *review.Outcome) {
	for _, g := range d.groups {
		if g.check == o.Check && g.result == o.Result && g.excused == (o.Excused != nil) {
			g.list = append(g.list, o)
			return
		}
	}
	d.groups = append(d.groups, &group{o.Check, o.Result, o.Excused != nil, []*review.Outcome{o}})
}
