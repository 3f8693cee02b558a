package electrical

import (
	"fmt"
	"math"

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

// Positions of a source device on a busbar fed from one end.
const (
	OppositeEnd   = "opposite-end"
	OtherPosition = "other"
)

// BusbarInput is a busbar with its supply and its sources.
type BusbarInput struct {
	Option         string
	Busbar         float64   // rating or ampacity, A
	Main           float64   // device that supplies the busbar, A
	Sources        []float64 // rated continuous output currents of all sources on the busbar, A
	SourceBreakers []float64 // ratings of the sources' devices, A (breaker-sum)
	LoadBreakers   []float64 // ratings of all load devices, A (breaker-sum)
	Position       string    // OppositeEnd, OtherPosition, or "" where it is not known
	Connections    int       // all connections to the busbar, supply and sources included; zero where not known
	Limit          float64   // current that a power control system holds the busbar to, A (power-control)
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
	Met           bool    // sums, supply and position all fit (an unknown position does not stand in the way)
}

// Busbar holds a busbar against one option of 705.12. The options' sections,
// factors and shares are the edition's; an option that the edition does not
// have, and the engineered one, which leaves nothing to compute, are errors.
// The supply device must always be within the busbar's rating (408.36).
// Source: NEC 705.12(B)(2)(3) in 2017, 705.12(B)(3) in 2020, 705.12(B) in 2023.
func (c *Code) Busbar(in BusbarInput) (Busbar, error) {
	r := c.reader()
	b := Busbar{Input: in, PositionFits: true, PositionKnown: true}
	r.need("the rating of the busbar", in.Busbar)
	r.need("the rating of the supply device", in.Main)
	b.Section = r.busbarOption(in.Option)
	b.Factor = r.number(tableBusbar, in.Option, "source factor")
	b.Share = r.number(tableBusbar, in.Option, "share")
	b.Allowed = b.Share * in.Busbar
	b.Required = r.busbarDemand(in, b.Factor)
	b.Applies = r.busbarApplies(in.Connections)
	if in.Option == OptionOppositeEnd || in.Option == OptionCenterFed {
		b.PositionKnown = in.Position != ""
		b.PositionFits = in.Position != OtherPosition
	}
	if in.Position != "" && in.Position != OppositeEnd && in.Position != OtherPosition {
		r.fail(outside("position %q is neither opposite-end nor other", in.Position))
	}
	b.MainFits = quantity.AtMost(in.Main, in.Busbar)
	b.Met = quantity.AtMost(b.Required, b.Allowed) && b.MainFits && b.PositionFits
	b.Basis = r.basis()
	return b, r.err
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

func (r *reader) busbarDemand(in BusbarInput, factor float64) float64 {
	switch in.Option {
	case OptionBreakerSum:
		if len(in.SourceBreakers) == 0 || len(in.LoadBreakers) == 0 {
			r.fail(outside("the option breaker-sum needs the ratings of the source devices and of the load devices"))
		}
		return r.needAll("a source device", in.SourceBreakers) + r.needAll("a load device", in.LoadBreakers)
	case OptionPowerControl:
		r.need("the limit of the power control system", in.Limit)
		return in.Limit
	}
	if len(in.Sources) == 0 {
		r.fail(outside("the option %s needs the output currents of the sources", in.Option))
	}
	return in.Main + factor*r.needAll("the output of a source", in.Sources)
}

// busbarApplies says whether equipment with few connections, which cannot
// supply several circuits, is inside the scope of the edition's options.
func (r *reader) busbarApplies(connections int) bool {
	several := r.value(tableBusbarScope, "several loads only")
	few := r.value(tableBusbarScope, "connections")
	return connections == 0 || several == 0 || float64(connections) > few
}

// Work gives the calculation.
func (b Busbar) Work(quantity.System) []string {
	in := b.Input
	var lines []string
	switch in.Option {
	case OptionBreakerSum:
		lines = append(lines, fmt.Sprintf("%s: %s = %s", b.Section, list(append(append([]float64{}, in.SourceBreakers...), in.LoadBreakers...), amps), amps(b.Required)))
	case OptionPowerControl:
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
	if !b.PositionKnown {
		lines = append(lines, "the source device is taken to stand at the end opposite the supply, as this option needs")
	}
	if !b.PositionFits {
		lines = append(lines, "the source device does not stand at the end opposite the supply: not met")
	}
	if !b.Applies {
		lines = append(lines, fmt.Sprintf("with %d connections the equipment supplies no second circuit: outside the scope of these options in this edition", in.Connections))
	}
	return lines
}

// FeederInput is a source connected to a feeder elsewhere than at the end
// opposite its overcurrent device.
type FeederInput struct {
	Ampacity    float64   // of the feeder, A
	Overcurrent float64   // device that supplies the feeder, A
	Sources     []float64 // rated continuous output currents, A
	LoadSide    float64   // device on the load side of the connection, A; zero where there is none
}

// FeederConnection is a feeder held against the source on it.
type FeederConnection struct {
	Basis
	Input    FeederInput
	Factor   float64
	Sum      float64 // A, supply device and sources
	Required float64 // A, ampacity that the feeder needs
	Met      bool
}

// FeederConnection gives the ampacity that a feeder needs on the load side of
// a source: the rating of its supply device plus 125 % of the sources, or, if
// less, the rating of a device on the load side of the connection. Source: NEC
// 705.12(B)(2)(1) in 2017, 705.12(B)(1) in 2020, 705.12(A)(2) in 2023.
func (c *Code) FeederConnection(in FeederInput) (FeederConnection, error) {
	r := c.reader()
	f := FeederConnection{Input: in, Factor: r.value(tableFeeder, "source factor")}
	r.need("the ampacity of the feeder", in.Ampacity)
	r.need("the device that supplies the feeder", in.Overcurrent)
	r.needSources(in.Sources)
	f.Sum = in.Overcurrent + f.Factor*r.needAll("the output of a source", in.Sources)
	f.Required = f.Sum
	if in.LoadSide != 0 {
		r.need("the device on the load side", in.LoadSide)
		f.Required = min(f.Sum, in.LoadSide)
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
	lines := []string{fmt.Sprintf("%s + %s x (%s) = %s", amps(in.Overcurrent), factor(f.Factor), list(in.Sources, amps), amps(f.Sum))}
	if in.LoadSide != 0 {
		lines = append(lines, fmt.Sprintf("or the device on the load side: %s; the smaller is %s", amps(in.LoadSide), amps(f.Required)))
	}
	return append(lines, "required ampacity against the feeder's: "+compare(amps(f.Required), amps(in.Ampacity), f.Met))
}

// TapInput is a tap of a feeder that a source is connected to.
type TapInput struct {
	Length         float64   // m
	Overcurrent    float64   // device that supplies the feeder, A
	Sources        []float64 // rated continuous output currents, A
	SourceBreakers []float64 // ratings of the sources' devices, A, where known
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
	Required  float64 // A
	Met       bool
}

// FeederTap gives the ampacity that tap conductors need on a feeder with
// sources: a tenth of the feeder's device and what the sources add for a tap
// of up to 10 ft, a third for one of up to 25 ft, and the whole sum for longer
// conductors, which are no taps any more. The sources add 125 % of their
// output, in 2023 (over 10 ft) the ratings of their devices; where those are
// not given, the next standard rating over 125 % of each output. Source: NEC
// 705.12(B)(2)(2) in 2017, 705.12(B)(2) in 2020, 705.12(A)(3) in 2023,
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
	t.Required = t.Sum / t.Divisor
	t.Met = quantity.AtMost(t.Required, in.Ampacity)
	t.Basis = r.basis()
	return t, r.err
}

func (r *reader) tapSources(in TapInput, byDevice bool) float64 {
	f := r.value(tableFeeder, "source factor")
	outputs := f * r.needAll("the output of a source", in.Sources)
	if byDevice {
		return r.devices(in.Sources, in.SourceBreakers, f)
	}
	return outputs
}

// devices sums the ratings of the sources' devices; where they are not known,
// of the next standard rating over each output times the continuous factor.
func (r *reader) devices(sources, breakers []float64, continuous float64) float64 {
	if len(breakers) > 0 {
		return r.needAll("a source device", breakers)
	}
	sum := 0.0
	for _, s := range sources {
		if r.err != nil {
			return math.NaN()
		}
		sum += r.nextStandard(continuous*s, Breaker)
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
		fmt.Sprintf("tap of %s: %s / %s = %s", length(in.Length, sys), amps(t.Sum), factor(t.Divisor), amps(t.Required)),
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
	SourceBreakers []float64 // ratings of the sources' devices, A, where known (2017)
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
	s.ByDevice = r.text(tableSupplySum, "sources", "value") == "device"
	if s.Sum = outputs; s.ByDevice {
		s.Sum = r.devices(in.Sources, in.SourceBreakers, continuous)
	}
	r.use(r.table(tableSupplySum), "sources")
	s.MinimumSize = max(s.RuleSize, r.sizeForAmpacity(s.Required, in.Material))
	s.LengthLimit = r.supplyLength(in.Place)
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
