package draft

import (
	"slices"
	"strings"
)

// firstAsked are the questions that shape a job: who it is for, the building
// under its codes, the roof, the arrays, the system and the service. All others
// can wait until the job is written.
var firstAsked = []string{
	"name", "building", "nec", "irc", "ibc", "ifc",
	"roof", "length", "width", "slope", "lower-slope", "upper-slope", "break", "eave-height", "front", "covering", "framing",
	"equipment", "array", "scheme", "strings", "branches",
	"service-voltage", "service-system", "interconnection",
}

// turns are when those come first that only some buildings are asked first:
// their own building code, before the other.
var turns = map[string]func(Answers) bool{
	"irc": is("building", dwelling, accessory),
	"ibc": not("building", dwelling, accessory),
}

// Interview lists the questions in the order in which a person is asked: first
// the few that shape the job, then whether it is written as it is. Where more is
// to be said, each section asks whether that is about it, and puts the rest of
// its questions. Questions of one name may stand in it twice, for two turns.
func Interview() (list []*Question) {
	all := Questions()
	for _, q := range all {
		if slices.Contains(firstAsked, q.Name) {
			first := *q
			first.Turn = turns[q.Name]
			list = append(list, &first)
		}
	}
	list = append(list, &Question{Name: moreNow, Section: "More", Asks: "Say more before the job is written?", Words: []string{yes, no}, Default: no,
		Help: "the job reviews as it is; what is not said stays open in it, with its meaning and where a person finds it"})
	for len(all) > 0 {
		end := slices.IndexFunc(all, func(q *Question) bool { return q.Section != all[0].Section })
		if end < 0 {
			end = len(all)
		}
		list = append(list, moreOf(all[:end])...)
		all = all[end:]
	}
	return list
}

// moreOf are the questions of a section that can wait, below the one that asks
// whether they are to be put.
func moreOf(section []*Question) []*Question {
	gate := &Question{Name: more + strings.ToLower(section[0].Section), Section: section[0].Section,
		Asks: "More detail on the " + strings.ToLower(section[0].Section) + "?", Words: []string{yes, no}, Default: no}
	var rest []*Question
	for _, q := range section {
		first := turns[q.Name]
		if first == nil && slices.Contains(firstAsked, q.Name) {
			continue
		}
		later := *q
		later.Turn = func(a Answers) bool {
			return a[moreNow] == yes && a[gate.Name] == yes && (first == nil || !first(a))
		}
		rest = append(rest, &later)
	}
	if len(rest) == 0 {
		return nil
	}
	gate.Help = about(rest)
	gate.Turn = func(a Answers) bool {
		said := a.Said()
		return a[moreNow] == yes && slices.ContainsFunc(rest, func(q *Question) bool {
			_, answered := a[q.Name]
			return !answered && q.Asked(said) && (turns[q.Name] == nil || !turns[q.Name](said))
		})
	}
	return slices.Insert(rest, 0, gate)
}

// about names what questions are about, by their names in plain words.
func about(list []*Question) string {
	var names []string
	for _, q := range list {
		names = append(names, strings.ReplaceAll(q.Name, "-", " "))
	}
	return strings.Join(names, ", ")
}

// The names of the questions that ask whether more is to be said begin with
// more; their answers steer the interview and say nothing of the job.
const more, moreNow, yes, no = "more-", "more-now", "yes", "no"
