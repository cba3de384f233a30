// Package cutting cuts sheets and sticks from stock: guillotine patterns (cuts
// from edge to edge, as a saw makes them) and lengths, with the width of the
// saw blade. It knows nothing of decks.
//
// Lengths are whole numbers of one unit that the caller chooses and keeps to in
// one call, so that results are exact and the same everywhere.
package cutting

import "fmt"

// Length in the caller's unit.
type Length int64

// Size of a rectangle: L along the sheet's length, W across it.
type Size struct{ L, W Length }

// Area in the square of the caller's unit.
func (s Size) Area() int64 { return int64(s.L) * int64(s.W) }

func (s Size) turned() Size { return Size{s.W, s.L} }

func (s Size) fits(in Size) bool { return s.L <= in.L && s.W <= in.W }

func (s Size) grown(by Length) Size { return Size{s.L + by, s.W + by} }

// Place of a corner: X along the sheet's length, Y across it, from the corner
// that cutting starts from.
type Place struct{ X, Y Length }

// Node is a rectangle of a pattern. It is a piece, or what is left over, or it
// is sawn in two.
type Node struct {
	At     Place
	Size   Size
	Piece  int  // index of the piece, NoPiece for the others
	Turned bool // the piece lies turned by 90 degrees
	Across bool // sawn across the length: First lies before Second in X; else one above the other in Y
	First  *Node
	Second *Node // nil: the saw takes all of the rest
}

// NoPiece marks a node that is no piece.
const NoPiece = -1

// Sawn reports whether the node is sawn in two.
func (n *Node) Sawn() bool { return n.First != nil }

// Leaves calls f for every piece and every rest of the pattern, in the order
// in which they come off the saw.
func (n *Node) Leaves(f func(*Node)) {
	switch {
	case n == nil:
	case n.Sawn():
		n.First.Leaves(f)
		n.Second.Leaves(f)
	default:
		f(n)
	}
}

// The saw's kerf is dealt with once and for all by adding it to the sheet and
// to every piece: two pieces side by side need one kerf between them, and the
// last one may end at the sheet's edge. Inside the package rectangles are
// grown so, and a pattern is shrunk when it is done.

// shrink takes the kerf off a grown pattern; rests that the saw eats go.
func shrink(n *Node, kerf Length) *Node {
	if n == nil {
		return nil
	}
	n.Size = n.Size.grown(-kerf)
	if n.Size.L <= 0 || n.Size.W <= 0 {
		return nil
	}
	n.First, n.Second = shrink(n.First, kerf), shrink(n.Second, kerf)
	return n
}

// split saws a rest in two, the first part of the given length or width.
func (n *Node) split(across bool, first Length) (*Node, *Node) {
	n.Across = across
	a, b := n.Size, n.Size
	at := n.At
	if across {
		a.L, b.L = first, n.Size.L-first
		at.X += first
	} else {
		a.W, b.W = first, n.Size.W-first
		at.Y += first
	}
	n.First = &Node{At: n.At, Size: a, Piece: NoPiece}
	n.Second = &Node{At: at, Size: b, Piece: NoPiece}
	return n.First, n.Second
}

// put cuts a piece out of the corner of a rest, first across the length or
// first along it, and returns it and what is left: of the first cut, of the second.
func (n *Node) put(piece int, s Size, turned, across bool) (corner *Node, rest [2]*Node) {
	for i := range rest {
		size, whole := s.L, n.Size.L
		if !across {
			size, whole = s.W, n.Size.W
		}
		if size < whole {
			n, rest[i] = n.split(across, size)
		}
		across = !across
	}
	n.Piece, n.Turned = piece, turned
	return n, rest
}

// Piece is a kind of rectangle that may be cut from a sheet.
type Piece struct {
	Size  Size
	Value int64
	Most  int // how many of it at most; used by FillLimited only
}

// Sheet is what is cut.
type Sheet struct {
	Size Size
	Kerf Length // width of the saw's cut
	Turn bool   // pieces may be turned by 90 degrees
}

func (s Sheet) check(pieces []Piece) error {
	if s.Size.L <= 0 || s.Size.W <= 0 || s.Kerf < 0 {
		return fmt.Errorf("cutting: a sheet of %d by %d with a kerf of %d cannot be cut: give a size above and a kerf of at least zero", s.Size.L, s.Size.W, s.Kerf)
	}
	for i, p := range pieces {
		if p.Size.L <= 0 || p.Size.W <= 0 || p.Value < 0 {
			return fmt.Errorf("cutting: piece %d is %d by %d, worth %d: give a size above and a value of at least zero", i, p.Size.L, p.Size.W, p.Value)
		}
	}
	return nil
}
