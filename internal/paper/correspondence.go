package paper

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Letter is the letter of a review as its template sees it: correspondence from
// a reviewer to an applicant. A text that is not known is empty. The guide page
// "letter" explains each field.
type Letter struct {
	State   string // "nothing", "corrections" or "information"
	Title   string // by the state; never an approval
	Partial string // that only some checks ran; "" where all did

	Authority, Date, Reviewer             string
	Round                                 int
	Permit, Project, Address              string
	Applicant, Contractor, License, Owner string
	Revision, DrawingsDated               string

	Codes   []string // the adopted editions
	Opening string   // what was held against what, and how much is asked
	Answer  []string // how to answer; empty where nothing is asked

	Corrections, Verify, Advice []LetterSheet

	Earlier    []LetterEarlier // comments of earlier rounds, by number
	Deviations []string        // accepted ones, with whom and why
	InOrder    string          // what was found in order, in a paragraph
	Weak       string          // that table values are to be confirmed; "" for none
	Remarks    []string
	Basis      []string // editions, program, rules and files
	Notice     string
	Cautions   []string
}

// LetterSheet is the comments on one drawing sheet.
type LetterSheet struct {
	Name     string // "" where the job numbers no sheet for them
	Comments []LetterComment
}

// LetterEarlier is an earlier comment with what became of it.
type LetterEarlier struct {
	Number   int
	Heading  string // what was asked for
	State    string // "answered", "outstanding", "changed" or "withdrawn"
	About    string // what it is about, by state
	Response string // the applicant's; "" for none
}

// goesOn tells what became of earlier comments, and what else differs.
func (l *Letter) goesOn(r *review.Review, say *wording.Language) {
	if r.Earlier == nil {
		return
	}
	for _, rec := range r.Ledger() {
		if rec.State == review.New {
			continue
		}
		l.Earlier = append(l.Earlier, LetterEarlier{rec.Number, say.Say(wording.RecordHeading(rec)), string(rec.State), say.Say(wording.ItemsOf(rec)), wording.ResponseTo(r, rec)})
	}
	for _, text := range r.Since() {
		l.Remarks = append(l.Remarks, say.Say(text))
	}
}

// LetterComment is one thing to do.
type LetterComment struct {
	Number   int
	Status   string   // "not met", "undetermined" or "left out"
	Heading  string   // what is asked for
	Found    string   // what was found
	Section  []string // of the codes, with editions, and what else it rests on
	Rests    []string // the same in lines with their headings: "Section: ...", "Common practice: ..."
	ToPass   string   // what would satisfy it
	Subjects string   // like ones drawn together; "" where the finding is on one thing or names it
	With     string   // what comes of it; "" for nothing
}

// makeCorrespondence is the letter of a review.
func makeCorrespondence(r *review.Review, o Options) *Letter {
	say := wording.LanguageOf(r)
	p := r.Job.Project
	l := &Letter{
		Partial: partial(r), Authority: p.Authority.Value, Date: o.Date, Reviewer: o.Reviewer, Round: max(1, o.Round),
		Permit: p.Permit.Value, Project: p.Name.Value, Address: p.Address.Value,
		Applicant: p.Designer.Value, Contractor: p.Contractor.Value, License: p.Licence.Value, Owner: p.Owner.Value,
		Revision: p.Revision.Value, DrawingsDated: p.Date.Value,
		Codes: wording.EditionNames(r), InOrder: say.Say(inOrder(r)), Deviations: say.SayAll(deviations(r)),
		Notice: wording.Notice, Cautions: say.SayAll(wording.Cautions),
	}
	l.State, l.Title = titleOf(r)
	asked := map[codebook.Severity][]LetterSheet{}
	states := wording.RoundsOf(r)
	for _, c := range r.Comments() {
		asked[c.Severity] = onSheet(asked[c.Severity], wording.SheetOf(r.Job, c), letterComment(c, states.Comment(c.Number), say))
	}
	for _, sheets := range asked {
		slices.SortStableFunc(sheets, func(a, b LetterSheet) int {
			return cmp.Or(cmp.Compare(btoi(a.Name == ""), btoi(b.Name == "")), cmp.Compare(a.Name, b.Name))
		})
	}
	l.Corrections, l.Verify, l.Advice = asked[codebook.Correction], asked[codebook.Verify], asked[codebook.Advisory]
	l.Opening = say.Say(openingOf(r, l))
	if len(l.Corrections)+len(l.Verify) > 0 {
		l.Answer = howToAnswer(l.Round)
	}
	if slices.ContainsFunc(r.Outcomes, func(o review.Outcome) bool { return o.Outstanding() && len(o.Unconfirmed) > 0 }) {
		l.Weak = "Some table values behind these comments are from memory, to be confirmed by the reviewer: see calculations."
	}
	for _, d := range r.Unfounded() {
		l.Remarks = append(l.Remarks, say.Say(wording.Unfounded(d)))
	}
	for _, d := range r.Claims() {
		if d.Finding == "" {
			l.Remarks = append(l.Remarks, say.Say(wording.Claimed(d)))
		}
	}
	for _, text := range wording.OnList(r) {
		l.Remarks = append(l.Remarks, say.Say(text))
	}
	l.goesOn(r, say)
	if len(r.Defects()) > 0 {
		l.Remarks = append(l.Remarks, wording.Plural(len(r.Defects()), "check", "checks")+" could not be run by a defect of the program; the review is not complete.")
	}
	l.Basis = say.SayAll(basisOf(r, o))
	return l
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// partial says that only some checks ran, "" where all did.
func partial(r *review.Review) string {
	if ran, all := r.Ran(); ran < all {
		return fmt.Sprintf("Partial review: %d of %d checks ran. What the others would find is not said here.", ran, all)
	}
	return ""
}

// titleOf is the state of a letter and its title.
func titleOf(r *review.Review) (state, title string) {
	state, title = "nothing", "nothing to correct"
	for _, c := range r.Comments() {
		switch {
		case c.Severity != codebook.Correction:
		case c.Result == review.NotMet:
			state, title = "corrections", "corrections"
		case state == "nothing":
			state, title = "information", "more information needed"
		}
	}
	if partial(r) != "" {
		return state, "Partial plan review: " + title
	}
	return state, "Plan review: " + title
}

func openingOf(r *review.Review, l *Letter) string {
	list := "no edition of any code, as the submittal states none"
	if len(l.Codes) > 0 {
		list = strings.Join(l.Codes, ", ")
	}
	asked := "Nothing is outstanding"
	if s := wording.BySeverity(wording.CommentsBySeverity(r)); s != "" {
		asked = "The comments below are " + s
		if l.State == "nothing" {
			asked = "Nothing is to be corrected; to look at: " + s
		}
	}
	if partial(r) != "" {
		asked += " in the checks that ran"
	}
	who := "the authority having jurisdiction"
	if l.Authority != "" {
		who = l.Authority
	}
	return fmt.Sprintf("The submittal named above was held against %s. %s. This letter is not an approval, which is for %s to give.", list, asked, who)
}

// howToAnswer is what an applicant does with the letter.
func howToAnswer(round int) []string {
	return []string{
		"Answer every comment under its number, in the response column or on a page of your own with the same numbers: what was changed, and on which sheet.",
		"Revise the sheets themselves. Put a cloud around each change, and give the revision a mark and a date in the title block.",
		fmt.Sprintf("Send the revised sheets and the answers together; they will be reviewed as round %d.", round+1),
	}
}

func onSheet(sheets []LetterSheet, name string, c LetterComment) []LetterSheet {
	i := slices.IndexFunc(sheets, func(s LetterSheet) bool { return s.Name == name })
	if i < 0 {
		i = len(sheets)
		sheets = append(sheets, LetterSheet{Name: name})
	}
	sheets[i].Comments = append(sheets[i].Comments, c)
	return sheets
}

func letterComment(c *review.Comment, state string, say *wording.Language) LetterComment {
	subjects := wording.SubjectsOf(c)
	out := LetterComment{Number: c.Number, Status: wording.Status(c), Heading: say.Say(wording.Heading(c)), With: comesOf(c)}
	if state != "" {
		out.Status += ", " + state
	}
	if c.Listed() {
		out.Status += ", on the standing list"
	}
	switch {
	case c.Check == nil:
		_, found := wording.MeansAndFound(wording.Asked(c)[0])
		out.Found = "Not stated: " + strings.Join(subjects, ", ") + "."
		out.ToPass = say.Say("State it. Where to find it: " + found + ".")
		return out
	case len(c.Subjects) > 1:
		out.Subjects = strings.Join(wording.Blocks(subjects), "; ")
		out.Found = "At " + c.Worst().Subject.Label() + ", the farthest off: " + say.Say(strings.TrimSuffix(wording.Found(c), ".")) + "."
		if c.Worst().Utilisation == nil {
			out.Found = "At " + c.Worst().Subject.Label() + ": " + say.Say(strings.TrimSuffix(wording.Found(c), ".")) + "."
		}
	default:
		out.Subjects = subjects[0]
		out.Found = say.Say(wording.Sentence(wording.Found(c)))
	}
	out.Section = say.SayAll(wording.Each(c.Worst().Cites, wording.Cited))
	out.Rests = say.SayAll(wording.Each(wording.BasesOf(c.Worst().Cites), wording.Basis.String))
	out.ToPass = say.Say(wording.Sentence(wording.ToPass(c)))
	return out
}

// comesOf says what goes with a comment: "12 more findings of 4 checks that come
// of it".
func comesOf(c *review.Comment) string {
	if len(c.Follows) == 0 {
		return ""
	}
	checks := map[string]bool{}
	for _, f := range c.Follows {
		checks[f.Check.ID] = true
	}
	if c.Followers() == 1 {
		return "1 more finding of 1 check that comes of it"
	}
	return fmt.Sprintf("%d more findings of %s that come of it", c.Followers(), wording.Plural(len(checks), "check", "checks"))
}

// deviations lists what an accepted deviation excuses, those of one check with
// one reason together.
func deviations(r *review.Review) []string {
	type accepted struct{ title, by, reason string }
	var order []accepted
	names := map[accepted][]string{}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		if o.Excused == nil {
			continue
		}
		key := accepted{o.Check.Title, wording.AcceptedBy(o.Excused), o.Excused.Reason.Value}
		if names[key] == nil {
			order = append(order, key)
		}
		names[key] = append(names[key], o.Subject.Label())
	}
	return wording.Each(order, func(a accepted) string {
		s := a.title + ", for " + strings.Join(wording.Blocks(wording.Ranges(names[a])), "; ") + ": accepted by " + a.by
		return s + ": " + wording.Sentence(a.reason)
	})
}

// inOrder is what was found in order, by discipline.
func inOrder(r *review.Review) string {
	met, checks, outside := map[string]int{}, map[string]bool{}, 0
	all := 0
	for i := range r.Outcomes {
		switch o := &r.Outcomes[i]; o.Result {
		case review.Met:
			met[o.Check.Discipline]++
			checks[o.Check.ID] = true
			all++
		case review.NotApplicable:
			outside++
		}
	}
	if all == 0 {
		return "Nothing could be found in order."
	}
	var names []string
	for d := range met {
		names = append(names, d)
	}
	slices.Sort(names)
	list := wording.Each(names, func(d string) string { return fmt.Sprintf("%s %d", d, met[d]) })
	return fmt.Sprintf("%s of %s came out as met (%s); %d did not apply to this job.",
		wording.Plural(all, "outcome", "outcomes"), wording.Plural(len(checks), "check", "checks"), strings.Join(list, ", "), outside)
}

// basisOf is what the review rests on, in sentences.
func basisOf(r *review.Review, o Options) []string {
	var out []string
	if names := wording.EditionNames(r); len(names) > 0 {
		out = append(out, strings.Join(names, ", ")+".")
	}
	out = append(out, wording.Authority(r.Book)...)
	whole := sha256.New()
	for _, f := range r.Job.Files {
		whole.Write(f.Text) // a hash does not fail
	}
	out = append(out, fmt.Sprintf("%s, job of %s %s.", wording.Capital(wording.MadeWith(o.Version, r.Book)),
		wording.Plural(len(r.Job.Files), "file", "files"), wording.ShortHash(hex.EncodeToString(whole.Sum(nil)))))
	if papers := wording.Each(papersOf(r), func(p field) string { return p.Label + " " + wording.ShortHash(p.Text) }); len(papers) > 0 {
		out = append(out, "Papers beside the job: "+strings.Join(papers, ", ")+".")
	}
	return out
}
