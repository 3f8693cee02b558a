package layout

// Parts is how many parts of the mounting go with each thing of a layout.
type Parts struct {
	ClipsPerModule int // wire clips; two are usual (common practice)
	PerSeam        int // bonding parts at each seam between neighbours in a row
	PerCrossSeam   int // bonding parts at each seam between neighbours in two rows; 0 where the mounting bonds along rows only
}

// Bill is what the layout asks for and what a field inspector counts and looks
// at.
type Bill struct {
	Modules, EndModules, CornerModules int
	Rows                               int
	Lines, Feet                        int
	Seams, CrossSeams                  int // pairs of neighbours in a row, and across rows
	Clips, BondingParts                int

	LongestSpan     *Span     // nil: no line has two feet
	LongestOverhang *Overhang // nil: no foot carries anything
	FewestSupports  Supported // the module with the fewest feet; the first of several
	Idle            []int     // feet that carry nothing
	Unsupported     []int     // modules that nothing carries
}

// Supported is a module and the number of feet below or beside it.
type Supported struct{ Module, Feet int }

// Bill counts the parts of an array and finds the places worth a look.
// Negative part counts are taken as none. Bonding parts are not counted across a
// thermal break, where a jumper goes instead.
func (s *Supports) Bill(parts Parts) Bill {
	a := s.Array
	b := Bill{
		Modules: len(a.Modules), Rows: len(a.rows), Lines: len(s.Lines), Feet: len(s.Feet),
		Clips: len(a.Modules) * max(0, parts.ClipsPerModule),
		Idle:  s.Idle, Unsupported: s.Unsupported,
	}
	for i := range a.Modules {
		switch a.Position(i) {
		case End:
			b.EndModules++
		case Corner:
			b.CornerModules++
		}
		if n := len(s.FeetUnder(i)); i == 0 || n < b.FewestSupports.Feet {
			b.FewestSupports = Supported{i, n}
		}
	}
	b.countSeams(s, parts)
	for _, span := range s.Spans() {
		if b.LongestSpan == nil || span.Length > b.LongestSpan.Length {
			b.LongestSpan = &span
		}
	}
	for _, o := range s.Overhangs() {
		if b.LongestOverhang == nil || o.Length > b.LongestOverhang.Length {
			b.LongestOverhang = &o
		}
	}
	return b
}

func (b *Bill) countSeams(s *Supports, parts Parts) {
	cut := make(map[int]bool, len(s.Mount.BreakAfter))
	for _, column := range s.Mount.BreakAfter {
		cut[column] = true
	}
	bonded := 0
	for _, g := range s.Array.Gaps() {
		switch {
		case g.AcrossRow:
			b.CrossSeams++
		default:
			b.Seams++
			if !cut[s.Array.Modules[g.From].Cell.Column] {
				bonded++
			}
		}
	}
	b.BondingParts = bonded*max(0, parts.PerSeam) + b.CrossSeams*max(0, parts.PerCrossSeam)
}
