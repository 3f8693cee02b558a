package electrical

import (
	"fmt"
	"math"
	"strings"

	"plumbrule/internal/quantity"
	"plumbrule/internal/table"
)

// The options of NEC 705.12 by which a busbar may take a source, in trade
// words.
const (
	OptionSum          = "sum"           // supply device + 125 % of the sources within the busbar; any position
	OptionOppositeEnd  = "opposite-end"  // the same sum within 120 % of the busbar; sources at the end opposite the supply
	OptionBreakerSum   = "breaker-sum"   // all devices on the busbar but the supply's within the busbar
	OptionCenterFed    = "center-fed"    // 120 %, one end of a busbar fed at its centre, dwellings
	OptionFeedThrough  = "feed-through"  // busbar with feed-through conductors
	OptionEngineered   = "engineered"    // designed under engineering supervision; nothing to compute
	OptionPowerControl = "power-control" // a listed power control system holds the busbar's current
)

// BusbarOptions lists the options.
var BusbarOptions = []string{OptionSum, OptionOppositeEnd, OptionBreakerSum, OptionCenterFed, OptionFeedThrough, OptionEngineered, OptionPowerControl}

// Positions of the source devices on a busbar, and of a connection on a feeder.
const (
	OppositeEnd   = "opposite-end" // at the end opposite the supply; of a busbar fed at its centre, at one end
	BothEnds      = "both-ends"    // at both ends of a busbar
	OtherPosition = "other"
)

// Positions lists the positions on a busbar.
var Positions = []string{OppositeEnd, BothEnds, OtherPosition}

// FeedThroughOptions lists the options that a busbar may rely on where a device
// protects its feed-through conductors.
var FeedThroughOptions = []string{OptionSum, OptionOppositeEnd, OptionBreakerSum}

// BusbarInput is a busbar with its supply and its sources.
type BusbarInput struct {
	Option         string
	Busbar         float64      // rating or ampacity, A
	Main           float64      // device that supplies the busbar, A
	Sources        []float64    // rated continuous output currents of all sources on the busbar, A
	SourceBreakers []float64    // ratings of the sources' devices, A (breaker-sum)
	LoadBreakers   []float64    // ratings of all load devices, A (breaker-sum)
	NoLoads        bool         // whether the busbar only gathers sources (breaker-sum)
	Position       string       // one of Positions, or "" where it is not known
	SingleCircuit  bool         // whether the equipment is capable of supplying one circuit only
	Listed         bool         // whether the equipment is listed for combining sources and loads as it is used
	FeedThrough    *FeedThrough // conductors behind the far end of the busbar (feed-through)
	Limit          float64      // current that a power control system holds the busbar to, A (power-control)
}

// FeedThrough is the conductors that leave a busbar at its lugs.
type FeedThrough struct {
	Ampacity    float64 // A
	Overcurrent float64 // device at their supply end, A; zero where there is none
	LoadSide    float64 // device at their far end, such as the main of the panel that they feed, A; zero where there is none
	Option      string  // one of FeedThroughOptions, where there is such a device
}

// Busbar is a busbar held against one option.
type Busbar struct {
	Basis
	Input         BusbarInput
	Section       string
	Factor        float64 // on the sources' output
	Share         float64 // of the busbar's rating
	Required      float64 // A
	Allowed       float64 // A
	Applies       bool    // whether the edition's busbar options reach this equipment
	MainFits      bool    // whether the supply device is within the busbar's rating
	PositionFits  bool    // false where the option needs the opposite end and the position is another one
	PositionKnown bool    // false where the option needs the opposite end and no position is given
	// Conductors is the ampacity that feed-through conductors need, A; zero
	// for other options.
	Conductors float64
	Met        bool // sums, supply, position and feed-through conductors all fit (an unknown position does not stand in the way)
}

// Busbar holds a busbar against one option of 705.12. The options' sections,
// factors and shares are the edition's; an option that the edition does not
// have, and the engineered one, which leaves nothing to compute, are errors.
// The supply device must always be within the busbar's rating (408.36).
// Feed-through conductors are sized as a feeder with the sources on it; where a
// device protects them at their supply end, the busbar may rely on one of
// FeedThroughOptions, and on the plain sum otherwise.
// Source: NEC 705.12(B)(2)(3) in 2017, 705.12(B)(3) in 2020, 705.12(B) in 2023.
func (c *Code) Busbar(in BusbarInput) (Busbar, error) {
	r := c.reader()
	b := Busbar{Input: in, PositionFits: true, PositionKnown: true}
	r.need("the rating of the busbar", in.Busbar)
	r.need("the rating of the supply device", in.Main)
	b.Section = r.busbarOption(in.Option)
	rests := in.Option
	if in.Option == OptionFeedThrough {
		rests = r.feedThrough(in, &b)
	}
	b.Factor = r.number(tableBusbar, rests, "source factor")
	b.Share = r.number(tableBusbar, rests, "share")
	b.Allowed = b.Share * in.Busbar
	b.Required = r.busbarDemand(in, rests, b.Factor)
	b.Applies = r.busbarApplies(in)
	if in.Position != "" && !contains(Positions, in.Position) {
		r.fail(outside("position %q is not known%s", in.Position, quantity.DidYouMean(in.Position, Positions)))
	}
	if fit := strings.Fields(r.text(tableBusbar, rests, "positions")); len(fit) > 0 {
		b.PositionKnown = in.Position != ""
		b.PositionFits = !b.PositionKnown || contains(fit, in.Position)
	}
	b.MainFits = quantity.AtMost(in.Main, in.Busbar)
	b.Met = quantity.AtMost(b.Required, b.Allowed) && b.MainFits && b.PositionFits
	if b.Conductors > 0 {
		b.Met = b.Met && quantity.AtMost(b.Conductors, in.FeedThrough.Ampacity)
	}
	b.Basis = r.basis()
	return b, r.err
}

// feedThrough sizes feed-through conductors as a feeder with the sources on it,
// and gives the option that the busbar itself rests on.
func (r *reader) feedThrough(in BusbarInput, b *Busbar) string {
	t := in.FeedThrough
	if t == nil {
		r.fail(outside("the option feed-through needs the ampacity of the feed-through conductors"))
		return OptionFeedThrough
	}
	r.need("the ampacity of the feed-through conductors", t.Ampacity)
	sources := r.value(tableFeeder, "source factor") * r.needAll("the output of a source", in.Sources)
	b.Conductors = in.Main + sources
	for _, device := range []float64{t.Overcurrent, t.LoadSide} {
		if device != 0 {
			r.need("the device of the feed-through conductors", device)
			b.Conductors = max(sources, min(b.Conductors, device))
		}
	}
	switch {
	case t.Overcurrent == 0 || t.Option == "":
		return OptionFeedThrough
	case !contains(FeedThroughOptions, t.Option):
		r.fail(outside("a busbar with feed-through conductors cannot rely on %q%s", t.Option, quantity.DidYouMean(t.Option, FeedThroughOptions)))
	}
	return t.Option
}

func (r *reader) busbarOption(option string) string {
	t := r.table(tableBusbar)
	switch {
	case t == nil:
		return ""
	case !contains(BusbarOptions, option):
		r.fail(outside("busbar option %q is not known%s", option, quantity.DidYouMean(option, BusbarOptions)))
		return ""
	case !t.Has(option):
		r.fail(outside("%s %s has no option %s for a busbar", t.Code, t.Edition, option))
		return ""
	case option == OptionEngineered:
		r.fail(outside("a busbar designed under engineering supervision is shown by the engineer's document; there is nothing to compute"))
	}
	return r.text(tableBusbar, option, "section")
}

func (r *reader) busbarDemand(in BusbarInput, option string, factor float64) float64 {
	switch option {
	case OptionBreakerSum:
		if len(in.SourceBreakers) == 0 || len(in.LoadBreakers) == 0 && !in.NoLoads {
			r.fail(outside("the option breaker-sum needs the ratings of the source devices and of the load devices, or that there are no loads"))
		}
		if len(in.LoadBreakers) > 0 && in.NoLoads {
			r.fail(outside("load devices are given for a busbar without loads"))
		}
		devices := r.needAll("a source device", in.SourceBreakers)
		if outputs := r.needAll("the output of a source", in.Sources); !quantity.AtLeast(devices, outputs) {
			r.fail(outside("the source devices of %s together could not carry the sources' %s: give all of them", amps(devices), amps(outputs)))
		}
		return devices + r.needAll("a load device", in.LoadBreakers)
	case OptionPowerControl:
		r.need("the limit of the power control system", in.Limit)
		return in.Limit
	}
	if len(in.Sources) == 0 {
		r.fail(outside("the option %s needs the output currents of the sources", option))
	}
	return in.Main + factor*r.needAll("the output of a source", in.Sources)
}

// busbarApplies says whether the edition's options reach the equipment: not
// where it is capable of supplying one circuit only, in the editions whose words
// are about several, nor where it is listed for combining sources and loads, in
// those that say so. The count of what is connected decides nothing.
func (r *reader) busbarApplies(in BusbarInput) bool {
	several := r.value(tableBusbarScope, "several loads only")
	listed := r.value(tableBusbarScope, "listed exempt")
	return !(in.SingleCircuit && several != 0) && !(in.Listed && listed != 0)
}

// Work gives the calculation.
func (b Busbar) Work(quantity.System) []string {
	in := b.Input
	var lines []string
	switch {
	case in.Option == OptionBreakerSum || in.FeedThrough != nil && in.FeedThrough.Option == OptionBreakerSum:
		lines = append(lines, fmt.Sprintf("%s: %s = %s", b.Section, list(append(append([]float64{}, in.SourceBreakers...), in.LoadBreakers...), amps), amps(b.Required)))
	case in.Option == OptionPowerControl:
		lines = append(lines, fmt.Sprintf("%s: power control limit %s", b.Section, amps(b.Required)))
	default:
		lines = append(lines, fmt.Sprintf("%s: %s + %s x (%s) = %s", b.Section, amps(in.Main), factor(b.Factor), list(in.Sources, amps), amps(b.Required)))
	}
	lines = append(lines,
		fmt.Sprintf("allowed = %s of %s = %s", percent(b.Share), amps(in.Busbar), amps(b.Allowed)),
		compare(amps(b.Required), amps(b.Allowed), quantity.AtMost(b.Required, b.Allowed)))
	if !b.MainFits {
		lines = append(lines, "supply device against the busbar: "+compare(amps(in.Main), amps(in.Busbar), false))
	}
	if b.Conductors > 0 {
		lines = append(lines, "feed-through conductors: "+compare(amps(b.Conductors), amps(in.FeedThrough.Ampacity), quantity.AtMost(b.Conductors, in.FeedThrough.Ampacity)))
	}
	if !b.PositionKnown {
		lines = append(lines, "the source device is taken to stand at the end opposite the supply, as this option needs")
	}
	if !b.PositionFits {
		lines = append(lines, "the source devices stand where this option does not let them: not met")
	}
	if !b.Applies {
		lines = append(lines, "equipment that can supply one circuit only, or that is listed for combining sources and loads, is outside these options in this edition")
	}
	return lines
}

// FeederInput is a source connected to a feeder.
type FeederInput struct {
	Ampacity    float64   // of the feeder, A
	Overcurrent float64   // device that supplies the feeder, A
	Sources     []float64 // rated continuous output currents, A
	LoadSide    float64   // device on the load side of the connection, A; zero where there is none
	Position    string    // OppositeEnd, or OtherPosition or "" where the feeder goes on past the connection
}

// FeederConnection is a feeder held against the source on it.
type FeederConnection struct {
	Basis
	Input    FeederInput
	Factor   float64
	Output   float64 // A, the sources raised for continuous duty
	Sum      float64 // A, supply device and sources
	Required float64 // A, ampacity that the feeder needs
	Met      bool
}

// FeederConnection gives the ampacity that a feeder needs with a source on it.
// All of it carries 125 % of the sources. Past a connection elsewhere than at
// the end opposite its supply it needs as well the rating of its supply device
// plus 125 % of the sources, or, if less, the rating of a device on the load
// side of the connection. Source: NEC 705.12(B)(2)(1) in 2017, 705.12(B)(1) in
// 2020, 705.12(A)(1) and (2) in 2023.
func (c *Code) FeederConnection(in FeederInput) (FeederConnection, error) {
	r := c.reader()
	f := FeederConnection{Input: in, Factor: r.value(tableFeeder, "source factor")}
	r.need("the ampacity of the feeder", in.Ampacity)
	r.need("the device that supplies the feeder", in.Overcurrent)
	r.needSources(in.Sources)
	f.Output = f.Factor * r.needAll("the output of a source", in.Sources)
	f.Sum = in.Overcurrent + f.Output
	f.Required = f.Sum
	switch in.Position {
	case OppositeEnd:
		f.Required = f.Output
	case OtherPosition, "":
	default:
		r.fail(outside("position %q on a feeder is neither opposite-end nor other", in.Position))
	}
	if in.LoadSide != 0 {
		r.need("the device on the load side", in.LoadSide)
		f.Required = max(f.Output, min(f.Required, in.LoadSide))
	}
	f.Met = quantity.AtMost(f.Required, in.Ampacity)
	f.Basis = r.basis()
	return f, r.err
}

func (r *reader) needSources(sources []float64) {
	if len(sources) == 0 {
		r.fail(outside("the output currents of the sources are needed"))
	}
}

// Work gives the calculation.
func (f FeederConnection) Work(quantity.System) []string {
	in := f.Input
	output := fmt.Sprintf("%s x (%s) = %s", factor(f.Factor), list(in.Sources, amps), amps(f.Output))
	lines := []string{output + ", all that a feeder carries of sources at the end opposite its supply"}
	if in.Position != OppositeEnd {
		lines = []string{output, fmt.Sprintf("%s + %s = %s", amps(in.Overcurrent), amps(f.Output), amps(f.Sum))}
		if in.LoadSide != 0 {
			lines = append(lines, fmt.Sprintf("or the device on the load side: %s; the smaller is taken, and no less than the sources need: %s", amps(in.LoadSide), amps(f.Required)))
		}
	}
	return append(lines, "required ampacity against the feeder's: "+compare(amps(f.Required), amps(in.Ampacity), f.Met))
}

// TapInput is a tap of a feeder that a source is connected to.
type TapInput struct {
	Length         float64   // m
	Overcurrent    float64   // device that supplies the feeder, A
	Sources        []float64 // rated continuous output currents, A
	SourceBreakers []float64 // ratings of the devices of Sources, A, where known
	OtherSources   []float64 // output currents of further sources on the feeder, whose devices are not known, A
	Device         float64   // device that the tap ends in, A; zero where not known
	Ampacity       float64   // of the tap conductors, A
}

// FeederTap is a feeder tap held against the code.
type FeederTap struct {
	Basis
	Input     TapInput
	Section   string
	SourceSum float64 // A, what the sources add
	ByDevice  bool    // whether the sources add their devices' ratings
	Sum       float64 // A
	Divisor   float64
	Share     float64 // A, by the length of the tap
	Output    float64 // A, 125 % of what the tap itself carries
	Required  float64 // A
	Met       bool
}

// FeederTap gives the ampacity that tap conductors need on a feeder with
// sources: a tenth of the feeder's device and what the sources add for a tap
// of up to 10 ft, a third for one of up to 25 ft, and the whole sum for longer
// conductors, which are no taps any more. The sources add 125 % of their
// output, in 2023 (over 10 ft) the ratings of their devices; where those are
// not given, the next standard rating over 125 % of each output. Whatever its
// length a tap carries 125 % of the output of its own sources and is no smaller
// than the device that it ends in; a single source device is taken for that
// one. Source: NEC 705.12(B)(2)(2) in 2017, 705.12(B)(2) in 2020, 705.12(A)(3) in 2023,
// 240.21(B)(1) and (2).
func (c *Code) FeederTap(in TapInput) (FeederTap, error) {
	r := c.reader()
	r.need("the length of the tap", in.Length)
	r.need("the device that supplies the feeder", in.Overcurrent)
	r.need("the ampacity of the tap", in.Ampacity)
	r.needSources(in.Sources)
	t := FeederTap{Input: in, Section: r.text(tableFeeder, "tap section", "value"), Divisor: 1}
	short, long := r.amount(tableFeeder, "short tap"), r.amount(tableFeeder, "long tap")
	switch {
	case quantity.AtMost(in.Length, short):
		t.Divisor = r.value(tableFeeder, "short divisor")
	case quantity.AtMost(in.Length, long):
		t.Divisor = r.value(tableFeeder, "long divisor")
		t.ByDevice = r.text(tableFeeder, "tap sources", "value") == "device"
	}
	t.SourceSum = r.tapSources(in, t.ByDevice)
	t.Sum = in.Overcurrent + t.SourceSum
	t.Share = t.Sum / t.Divisor
	t.Output = r.value(tableFeeder, "source factor") * r.needAll("the output of a source", in.Sources)
	if t.Required = max(t.Share, t.Output); in.Device != 0 {
		r.need("the device that the tap ends in", in.Device)
		t.Required = max(t.Required, in.Device)
	} else if len(in.SourceBreakers) == 1 {
		t.Required = max(t.Required, in.SourceBreakers[0])
	}
	t.Met = quantity.AtMost(t.Required, in.Ampacity)
	t.Basis = r.basis()
	return t, r.err
}

func (r *reader) tapSources(in TapInput, byDevice bool) float64 {
	f := r.value(tableFeeder, "source factor")
	if byDevice {
		return r.devices(in.Sources, in.SourceBreakers, in.OtherSources, f)
	}
	return f * (r.needAll("the output of a source", in.Sources) + r.needAll("the output of another source", in.OtherSources))
}

// devices sums the ratings of the sources' devices; where they are not known,
// as those of other sources are not, of the next standard rating over each
// output times the continuous factor. Devices that could not carry the sources
// are not all of them.
func (r *reader) devices(sources, breakers, others []float64, continuous float64) float64 {
	sum := 0.0
	if len(breakers) > 0 {
		sum = r.needAll("a source device", breakers)
		if outputs := r.needAll("the output of a source", sources); !quantity.AtLeast(sum, outputs) {
			r.fail(outside("the source devices of %s together could not carry the sources' %s: give all of them", amps(sum), amps(outputs)))
		}
		sources = nil
	}
	for _, list := range [][]float64{sources, others} {
		for _, s := range list {
			if r.need("the output of a source", s); r.err != nil {
				return math.NaN()
			}
			sum += r.nextStandard(continuous*s, Breaker)
		}
	}
	return sum
}

// Work gives the calculation.
func (t FeederTap) Work(sys quantity.System) []string {
	in, what := t.Input, "125 % of the sources' output"
	if t.ByDevice {
		what = "the sources' devices"
	}
	return []string{
		fmt.Sprintf("%s: feeder device %s + %s %s = %s", t.Section, amps(in.Overcurrent), what, amps(t.SourceSum), amps(t.Sum)),
		fmt.Sprintf("tap of %s: %s / %s = %s", length(in.Length, sys), amps(t.Sum), factor(t.Divisor), amps(t.Share)),
		fmt.Sprintf("125 %% of the tap's own sources %s; with the device that it ends in, the tap needs %s", amps(t.Output), amps(t.Required)),
		compare(amps(t.Required), amps(in.Ampacity), t.Met),
	}
}

// Places of a supply-side connection, as far as the distance to the first
// overcurrent device depends on them.
const (
	PlaceDwelling   = "dwelling"   // inside a dwelling
	PlaceOther      = "other"      // inside another building
	PlaceEngineered = "engineered" // inside another building, under engineering supervision
	PlaceOutside    = "outside"    // outside
)

// SupplyPlaces lists the places.
var SupplyPlaces = []string{PlaceDwelling, PlaceOther, PlaceEngineered, PlaceOutside}

// SupplyInput is a connection on the supply side of the service disconnect.
type SupplyInput struct {
	Rating         float64   // rating of the service, A
	Sources        []float64 // rated continuous output currents, A
	SourceBreakers []float64 // ratings of the devices of Sources, A, where known (2017)
	OtherSources   []float64 // output currents of further sources on the service, which have conductors and devices of their own, A
	Sets           int       // parallel sets of the conductors; zero for one
	Limiters       bool      // whether cable limiters or current-limiting breakers stand at the connection
	Material       Material
	Place          string
	Size           quantity.Size // as installed; zero where not given
	Length         float64       // to the first overcurrent device, m; zero where not given
}

// SupplySide is a supply-side connection held against the code.
type SupplySide struct {
	Basis
	Input       SupplyInput
	RuleSize    quantity.Size // smallest size by rule
	Required    float64       // A, ampacity by the sources' output
	MinimumSize quantity.Size
	LengthLimit float64 // m; NaN where the edition states none
	ByDevice    bool    // whether the service carries the ratings of the sources' devices
	Sum         float64 // A, of the sources' devices or outputs
	SumMet      bool
	SizeMet     bool // true where no size is given
	LengthMet   bool // true where no length is given
	Met         bool // of what is given
}

// SupplySide gives the smallest conductors and the longest run to the first
// overcurrent device of a source connected on the supply side, and holds the
// sum of the sources against the service: of their outputs, in 2017 of the
// ratings of their devices (where those are not given, the next standard rating
// over 125 % of each output). The smallest size is the larger of the rule's own
// and that of the 75 degC column for 125 % of the output. Source: NEC 705.12(A), 705.31, 230.31 in 2017; 705.11, 705.28 from
// 2020.
func (c *Code) SupplySide(in SupplyInput) (SupplySide, error) {
	r := c.reader()
	r.failIf(in.Material.check())
	r.need("the rating of the service", in.Rating)
	r.needSources(in.Sources)
	if !contains(SupplyPlaces, in.Place) {
		r.fail(outside("place %q is not known%s", in.Place, quantity.DidYouMean(in.Place, SupplyPlaces)))
	}
	s := SupplySide{Input: in, SizeMet: true, LengthMet: true}
	outputs := r.needAll("the output of a source", in.Sources)
	continuous := r.value(tableOutput, "continuous")
	s.RuleSize = r.size(tableSupplySide, "minimum", string(in.Material))
	s.Required = outputs * continuous
	s.ByDevice = r.supplyByDevice()
	if s.Sum = outputs + r.needAll("the output of another source", in.OtherSources); s.ByDevice {
		s.Sum = r.devices(in.Sources, in.SourceBreakers, in.OtherSources, continuous)
	}
	r.use(r.table(tableSupplySum), "sources")
	s.MinimumSize = r.supplySize(s.RuleSize, s.Required, in)
	s.LengthLimit = r.supplyLength(in.Place)
	if in.Limiters && r.value(tableSupplyLimiters, "limiters") != 0 {
		s.LengthLimit = math.NaN()
	}
	s.SumMet = quantity.AtMost(s.Sum, in.Rating)
	if in.Size.Known() {
		s.SizeMet = in.Size >= s.MinimumSize
	}
	if in.Length != 0 {
		r.need("the length of the conductors", in.Length)
		s.LengthMet = math.IsNaN(s.LengthLimit) || quantity.AtMost(in.Length, s.LengthLimit)
	}
	s.Met = s.SumMet && s.SizeMet && s.LengthMet
	s.Basis = r.basis()
	return s, r.err
}

func (r *reader) supplyByDevice() bool { return r.text(tableSupplySum, "sources", "value") == "device" }

// SupplyByDevice reports whether the edition sums the ratings of the sources'
// devices on the supply side, and not their outputs.
func (c *Code) SupplyByDevice() (bool, error) {
	r := c.reader()
	by := r.supplyByDevice()
	return by, r.err
}

// supplySize is the smallest size of each set of supply-side conductors; sets in
// parallel share the current alike and are never smaller than 310.10 lets them.
func (r *reader) supplySize(rule quantity.Size, required float64, in SupplyInput) quantity.Size {
	if in.Sets <= 1 {
		return max(rule, r.sizeForAmpacity(required, in.Material))
	}
	least := r.namedSize(tableParallel, "parallel")
	return max(rule, least, r.sizeForAmpacity(required/float64(in.Sets), in.Material))
}

// sizeForAmpacity is the smallest size whose ampacity in the column of large
// unmarked terminals reaches a current.
func (r *reader) sizeForAmpacity(current float64, m Material) quantity.Size {
	col := fmt.Sprintf("%s %s", m, plain(r.amount(tableTerminal, "large column"), 0))
	t := r.table(tableAmpacity)
	if t == nil {
		return 0
	}
	for _, row := range t.Rows {
		if a, ok := t.Quantity(row.Key, col); ok && quantity.AtLeast(a, current) {
			s, err := quantity.ParseSize(row.Key)
			r.failIf(err)
			r.use(t, row.Key)
			return s
		}
	}
	r.fail(outside("no single %s conductor carries %s; use parallel sets", m, amps(current)))
	return 0
}

// SupplyAmpacity is the ampacity of one conductor in the column of large
// unmarked terminals, in A. Source: NEC 310.16, 110.14(C).
func (c *Code) SupplyAmpacity(s quantity.Size, m Material) (float64, []table.Ref, error) {
	r := c.reader()
	r.failIf(m.check())
	a := r.ampacityCell(s, m, r.amount(tableTerminal, "large column"))
	return a, r.refs, r.err
}

// supplyLength is the longest run in m, NaN where the edition states none.
func (r *reader) supplyLength(place string) float64 {
	t := r.table(tableSupplySide)
	if t == nil {
		return math.NaN()
	}
	r.use(t, place)
	if x, ok := t.Quantity(place, "length"); ok {
		return x
	}
	return math.NaN()
}

// Work gives the calculation.
func (s SupplySide) Work(sys quantity.System) []string {
	in := s.Input
	what := "outputs"
	if s.ByDevice {
		what = "devices"
	}
	lines := []string{
		"sum of the sources' " + what + " against the service: " + compare(amps(s.Sum), amps(in.Rating), s.SumMet),
		fmt.Sprintf("smallest size by rule %s; by an ampacity of %s: %s", s.RuleSize, amps(s.Required), s.MinimumSize),
	}
	if in.Size.Known() {
		lines = append(lines, fmt.Sprintf("installed %s %s: %s", in.Size, in.Material, met(s.SizeMet)))
	}
	if math.IsNaN(s.LengthLimit) {
		return append(lines, "this edition states no length to the first overcurrent device for this place")
	}
	lines = append(lines, fmt.Sprintf("longest run to the first overcurrent device: %s", length(s.LengthLimit, sys)))
	if in.Length != 0 {
		lines = append(lines, compare(length(in.Length, sys), length(s.LengthLimit, sys), s.LengthMet))
	}
	return lines
}

func met(ok bool) string {
	if ok {
		return "met"
	}
	return "not met"
}

// BusbarOptionSection gives the section number of a busbar option under the
// edition; false where the edition does not have the option.
func (c *Code) BusbarOptionSection(option string) (string, table.Ref, bool) {
	t := c.table(tableBusbar)
	if t == nil || !t.Has(option) {
		return "", table.Ref{}, false
	}
	section, ok := t.Text(option, "section")
	return section, t.Ref(option), ok
}

// BusbarPositions gives the places that an option lets the source devices stand
// at on a busbar, under the edition; none where any will do.
func (c *Code) BusbarPositions(option string) ([]string, []table.Ref, error) {
	r := c.reader()
	t := r.table(tableBusbar)
	if t != nil && !t.Has(option) {
		r.fail(outside("%s %s has no option %s for a busbar", t.Code, t.Edition, option))
	}
	list := strings.Fields(r.text(tableBusbar, option, "positions"))
	if len(list) > 0 {
		r.use(t, option)
	}
	return list, r.refs, r.err
}
