package quantity

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Unit is a unit of measurement: its size in SI and how people write it. The
// first spelling is the one that messages offer.
type Unit struct {
	Size   float64
	Spelt  []string
	Strict bool // capitals carry meaning (M for mega): no other capitalisation is read
}

// Units is the table of units of one kind of quantity.
type Units struct {
	What string // "length", with which messages name the kind
	List []Unit
	Also string // another way of writing it, offered in messages
}

// Error says why a text is not the quantity that was asked for.
type Error struct {
	Text  string // as given
	Wrong string // what is wrong
	Right string // what would be right
}

func (e *Error) Error() string { return fmt.Sprintf("%q: %s; %s", e.Text, e.Wrong, e.Right) }

func units(what string, list ...Unit) Units { return Units{What: what, List: list} }
func unit(size float64, spelt ...string) Unit {
	return Unit{Size: size, Spelt: spelt}
}
func mega(size float64, spelt ...string) Unit {
	return Unit{Size: size, Spelt: spelt, Strict: true}
}

const (
	inch = float64(Inch)
	foot = float64(Foot)
	lb   = float64(Pound)
	kip  = float64(Kip)
	kg   = Gravity // weight of one kilogram, N
)

// Tables of units. Superscripts, dots and hyphens in a unit may be left out.
var (
	Lengths = Units{What: "length", Also: `feet and inches like 12'-6 1/2"`, List: []Unit{
		unit(1e-3, "mm"), unit(1e-2, "cm"), unit(1, "m"),
		unit(inch, "in", `"`, "inch", "inches"), unit(foot, "ft", "'", "foot", "feet")}}
	Areas = units("area",
		unit(1, "m2", "sq m", "sqm"), unit(1e-4, "cm2"), unit(1e-6, "mm2"),
		unit(foot*foot, "ft2", "sf", "sq ft", "sqft"), unit(inch*inch, "in2", "sq in"))
	Volumes = units("volume",
		unit(1, "m3", "cu m"), unit(1e-3, "l"), unit(foot*foot*foot, "ft3", "cf", "cu ft"),
		unit(27*foot*foot*foot, "yd3", "cy", "cu yd"))
	Forces = units("force",
		unit(1, "N"), unit(1e3, "kN"), mega(1e6, "MN"),
		unit(lb, "lb", "lbs", "lbf"), unit(kip, "kip", "kips", "k"))
	Moments = units("moment",
		unit(1, "Nm"), unit(1e3, "kNm"), mega(1e6, "MNm"), unit(1e-3, "Nmm"),
		unit(lb*foot, "lb-ft", "ft-lb"), unit(lb*inch, "lb-in", "in-lb"),
		unit(kip*foot, "kip-ft", "ft-kip", "k-ft", "ft-k"), unit(kip*inch, "kip-in", "in-kip", "k-in", "in-k"))
	Stresses = units("stress or load per area",
		unit(1e3, "kN/m2"), unit(1e6, "N/mm2"), unit(1, "Pa", "N/m2"), unit(1e3, "kPa"), mega(1e6, "MPa", "MN/m2"),
		mega(1e9, "GPa"), unit(lb/(foot*foot), "psf", "lb/ft2"), unit(lb/(inch*inch), "psi", "lb/in2"),
		unit(kip/(inch*inch), "ksi", "kip/in2"), unit(kip/(foot*foot), "ksf", "kip/ft2"),
		unit(1e7, "kN/cm2"))
	LineLoads = units("load per length",
		unit(1e3, "kN/m"), unit(1, "N/m"), unit(1e3, "N/mm"), unit(lb/foot, "plf", "lb/ft"),
		unit(kip/foot, "klf", "kip/ft", "k/ft"), unit(lb/inch, "lb/in", "pli"))
	UnitWeights = units("weight per volume",
		unit(1e3, "kN/m3"), unit(1, "N/m3"), unit(kg, "kg/m3"), unit(lb/(foot*foot*foot), "pcf", "lb/ft3"))
	EIs = units("bending stiffness EI",
		unit(1e3, "kNm2"), unit(1, "Nm2"), mega(1e6, "MNm2"), unit(1e-6, "Nmm2"), unit(1e-3, "kNmm2"),
		unit(kip*inch*inch, "k-in2", "kip-in2"), unit(lb*inch*inch, "lb-in2"), unit(lb*foot*foot, "lb-ft2"),
		unit(kip*foot*foot, "k-ft2", "kip-ft2"))
	Masses = units("mass",
		unit(1, "kg"), unit(1e-3, "g"), unit(1e3, "t", "tonne", "tonnes"),
		unit(float64(PoundMass), "lb", "lbs", "lbm"))
	Durations = units("duration",
		unit(24, "days", "day", "d"), unit(1, "h", "hr", "hrs", "hour", "hours"),
		unit(1.0/60, "min", "mins", "minute", "minutes"), unit(1.0/3600, "s", "sec", "second", "seconds"),
		unit(168, "weeks", "week"))
	Angles = units("angle",
		unit(math.Pi/180, "deg", "°", "degree", "degrees"), unit(1, "rad"))
	Ratios  = units("plain number or percentage", unit(0.01, "%", "percent"))
	Numbers = units("plain number")
)

// ParseForce reads 11 kN, 2500 lb, 2.5 kips.
func ParseForce(text string) (Force, error) { return parse[Force](Forces, text) }

// ParseMoment reads 10.9 kNm, 1200 lb-ft.
func ParseMoment(text string) (Moment, error) { return parse[Moment](Moments, text) }

// ParseStress reads a material stress or a load per area: 25 N/mm2, 5000 psi, 7.5 kN/m2, 50 psf.
func ParseStress(text string) (Stress, error) { return parse[Stress](Stresses, text) }

// ParseLineLoad reads 1.5 kN/m, 100 plf.
func ParseLineLoad(text string) (LineLoad, error) { return parse[LineLoad](LineLoads, text) }

// ParseUnitWeight reads 24 kN/m3, 150 pcf; a density in kg/m3 is turned into weight.
func ParseUnitWeight(text string) (UnitWeight, error) { return parse[UnitWeight](UnitWeights, text) }

// ParseEI reads 450 kNm2, 156000 k-in2.
func ParseEI(text string) (EI, error) { return parse[EI](EIs, text) }

// ParseMass reads 4.8 kg, 33 lb.
func ParseMass(text string) (Mass, error) { return parse[Mass](Masses, text) }

// ParseDuration reads 5 days, 8 h, 30 min. A day is a calendar day of 24 h, not a shift.
func ParseDuration(text string) (Duration, error) { return parse[Duration](Durations, text) }

// ParseAngle reads 30 deg, 0.5 rad.
func ParseAngle(text string) (Angle, error) { return parse[Angle](Angles, text) }

// ParseArea reads 12.5 m2, 96 ft2.
func ParseArea(text string) (Area, error) { return parse[Area](Areas, text) }

// ParseVolume reads 40 m3, 52 yd3.
func ParseVolume(text string) (Volume, error) { return parse[Volume](Volumes, text) }

// ParseRatio reads 1.25, 2 %.
func ParseRatio(text string) (Ratio, error) {
	v, err := Ratios.Parse(text, 1)
	return Ratio(v), err
}

// ParseNumber reads a plain number without unit.
func ParseNumber(text string) (float64, error) { return Numbers.Parse(text, 1) }

func parse[T ~float64](u Units, text string) (T, error) {
	v, err := u.Parse(text, 0)
	return T(v), err
}

// Parse reads a number and its unit and returns the value in SI. A number
// without unit is taken in units of size bare; bare 0 refuses it.
func (u Units) Parse(text string, bare float64) (float64, error) {
	s := scanner{rest: tidy(text)}
	n, wrong := s.number(false)
	if wrong != "" {
		return 0, u.fault(text, wrong)
	}
	size, wrong := u.size(s.rest, bare)
	if wrong != "" {
		return 0, u.fault(text, wrong)
	}
	return u.finite(text, n*size)
}

// ParseLength reads 3820 mm, 3.82 m, 12.54 ft, 6 1/2 in and feet with inches in
// the ways the trade writes them: 12' 6 1/2", 12'-6 1/2", 12 ft 6 in. A bare
// number is taken in units of size bare; bare 0 refuses it.
func ParseLength(text string, bare Length) (Length, error) {
	s := scanner{rest: tidy(text)}
	sign := s.sign()
	n, wrong := s.number(true)
	if wrong != "" {
		return 0, Lengths.fault(text, wrong)
	}
	first, rest := s.unitWord()
	size, wrong := Lengths.size(first, float64(bare))
	if wrong != "" {
		return 0, Lengths.fault(text, wrong)
	}
	v := n * size
	if rest != "" {
		in, wrong := inches(rest)
		switch {
		case size != foot || first == "":
			wrong = fmt.Sprintf("%q follows a whole length", rest)
		case wrong == "" && n != math.Trunc(n):
			wrong = "feet must be a whole number when inches follow"
		}
		if wrong != "" {
			return 0, Lengths.fault(text, wrong)
		}
		v += in
	}
	v, err := Lengths.finite(text, sign*v)
	return Length(v), err
}

// inches reads the inches that follow feet, after a space or a hyphen, in m.
func inches(text string) (v float64, wrong string) {
	s := scanner{rest: strings.TrimSpace(strings.TrimPrefix(text, "-"))}
	n, wrong := s.number(true)
	if wrong != "" {
		return 0, wrong
	}
	if s.rest == "" {
		return 0, "the inches have no mark"
	}
	size, wrong := Lengths.size(s.rest, 0)
	switch {
	case wrong != "":
		return 0, wrong
	case size != inch:
		return 0, fmt.Sprintf("feet are followed by %s, not by inches", s.rest)
	case n >= 12:
		return 0, "inches beside feet must be less than 12"
	}
	return n * inch, ""
}

// finite refuses results that a float cannot hold.
func (u Units) finite(text string, v float64) (float64, error) {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, u.fault(text, "the number is too large")
	}
	return v, nil
}

func (u Units) fault(text, wrong string) error {
	right := "use a plain number"
	if len(u.List) > 0 {
		right = "use a number with " + u.Names()
	}
	if u.Also != "" {
		right += ", or " + u.Also
	}
	return &Error{Text: text, Wrong: wrong, Right: right}
}

// Names lists the units in words: "mm, cm, m, in or ft".
func (u Units) Names() string {
	var names []string
	for _, x := range u.List {
		names = append(names, x.Spelt[0])
	}
	last := len(names) - 1
	if last < 1 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// size finds a unit by its spelling; exact spelling wins over other capitals.
func (u Units) size(name string, bare float64) (size float64, wrong string) {
	if name == "" {
		if bare == 0 {
			return 0, "the unit is missing"
		}
		return bare, ""
	}
	plain := plainUnit(name)
	for _, fold := range []bool{false, true} {
		for _, x := range u.List {
			for _, spelt := range x.Spelt {
				p := plainUnit(spelt)
				if p == plain || fold && !x.Strict && strings.EqualFold(p, plain) {
					return x.Size, ""
				}
			}
		}
	}
	return 0, fmt.Sprintf("%q is not a unit of %s", name, u.What)
}

// plainUnit drops what people put between and around the letters of a unit.
var plainUnit = strings.NewReplacer("²", "2", "³", "3", "⁴", "4", "^", "", "·", "", "⋅", "", "*", "", "-", "", ".", "", " ", "").Replace

// tidy brings typographic signs to the plain ones that the scanner knows.
func tidy(text string) string {
	return strings.TrimSpace(tidier.Replace(text))
}

var tidier = strings.NewReplacer(
	"\u2212", "-", "\u2013", "-", "\u00a0", " ", "\u202f", " ",
	"''", `"`, "\u2032", "'", "\u2019", "'", "\u2033", `"`, "\u201d", `"`,
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8")

// scanner takes numbers off the front of a text.
type scanner struct{ rest string }

// sign takes a leading sign.
func (s *scanner) sign() float64 {
	switch {
	case strings.HasPrefix(s.rest, "-"):
		s.rest = strings.TrimLeft(s.rest[1:], " ")
		return -1
	case strings.HasPrefix(s.rest, "+"):
		s.rest = strings.TrimLeft(s.rest[1:], " ")
	}
	return 1
}

// number takes a decimal number, or with fractions a whole one, a fraction or
// both: 6, 6.5, 1/2, 6 1/2, 6-1/2. Lengths sign themselves and give fractions
// true; other quantities take a sign here.
func (s *scanner) number(fractions bool) (v float64, wrong string) {
	sign := 1.0
	if !fractions {
		sign = s.sign()
	}
	text := s.take(isNumeral)
	switch {
	case text == "":
		return 0, "it does not begin with a number"
	case strings.HasPrefix(s.rest, ","):
		return 0, "numbers are written without commas, with a point before decimals"
	}
	text += s.exponent()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		if math.IsInf(v, 0) {
			return 0, "the number is too large"
		}
		return 0, fmt.Sprintf("%q is not a number", text)
	}
	if fractions {
		if v, wrong = s.fraction(text, v); wrong != "" {
			return 0, wrong
		}
	}
	s.rest = strings.TrimLeft(s.rest, " ")
	return sign * v, ""
}

// exponent takes e3, e-3, E+3 but leaves other letters to the unit.
func (s *scanner) exponent() string {
	if s.rest == "" || s.rest[0] != 'e' && s.rest[0] != 'E' {
		return ""
	}
	t := scanner{s.rest[1:]}
	e := "e"
	if t.rest != "" && (t.rest[0] == '-' || t.rest[0] == '+') {
		e += t.rest[:1]
		t.rest = t.rest[1:]
	}
	digits := t.take(isDigit)
	if digits == "" {
		return ""
	}
	s.rest = t.rest
	return e + digits
}

// fraction takes what makes the number already read (text, value v) a fraction
// or a mixed number; without a fraction it takes nothing.
func (s *scanner) fraction(text string, v float64) (value float64, wrong string) {
	whole, num := v, ""
	t := scanner{s.rest}
	if strings.HasPrefix(t.rest, "/") {
		whole, num = 0, text
	} else {
		t.rest = strings.TrimLeft(t.rest, " ")
		gap := len(t.rest) < len(s.rest)
		if strings.HasPrefix(t.rest, "-") {
			t.rest, gap = strings.TrimLeft(t.rest[1:], " "), true
		}
		num = t.take(isDigit)
		if !gap || num == "" || !strings.HasPrefix(t.rest, "/") {
			return v, ""
		}
		if strings.Trim(text, "0123456789") != "" {
			return 0, "a fraction follows a number that is not whole"
		}
	}
	t.rest = t.rest[1:]
	den := t.take(isDigit)
	n, err1 := strconv.Atoi(num)
	d, err2 := strconv.Atoi(den)
	switch {
	case err1 != nil || err2 != nil || d == 0:
		return 0, fmt.Sprintf("%s/%s is not a fraction", num, den)
	case whole > 0 && n >= d:
		return 0, fmt.Sprintf("the fraction %s/%s beside a whole number must be less than one", num, den)
	}
	s.rest = t.rest
	return whole + float64(n)/float64(d), ""
}

// unitWord splits the rest into a first unit and what follows it.
func (s *scanner) unitWord() (word, rest string) {
	for _, mark := range []string{"'", `"`} {
		if after, ok := strings.CutPrefix(s.rest, mark); ok {
			return mark, strings.TrimSpace(after)
		}
	}
	word = s.take(unicode.IsLetter)
	if word == "" {
		return s.rest, ""
	}
	s.rest = strings.TrimPrefix(s.rest, ".") // "ft."
	return word, strings.TrimSpace(s.rest)
}

// take removes and returns the leading characters that ok accepts.
func (s *scanner) take(ok func(rune) bool) string {
	i := 0
	for i < len(s.rest) {
		r, n := utf8.DecodeRuneInString(s.rest[i:])
		if !ok(r) {
			break
		}
		i += n
	}
	out := s.rest[:i]
	s.rest = s.rest[i:]
	return out
}

func isDigit(r rune) bool   { return r >= '0' && r <= '9' }
func isNumeral(r rune) bool { return isDigit(r) || r == '.' }
