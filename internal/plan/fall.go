package plan

import (
	"shoreward/internal/deck"
)

// A pour that falls is laid out flat and proven in its slope: deck.Fall says how.

// slopeProver proves decks that are laid flat on a flat site as they are in the slope,
// and gives places where they lie flat.
func (b *builder) slopeProver(flat *deck.Site) func(*deck.Deck) (deck.Audit, error) {
	site := *b.site
	site.Bans, site.Keep = nil, nil // as many of them as the flat site has
	if len(flat.Bans) > 0 {
		site.Bans = b.site.Bans
	}
	if len(flat.Keep) > 0 {
		site.Keep = b.site.Keep
	}
	return func(d *deck.Deck) (deck.Audit, error) {
		proof, err := b.auditor.Run(&deck.Pour{Site: site, Deck: *b.inSlope(d)})
		for i := range proof.Findings {
			proof.Findings[i].At = site.Fall.Flat(proof.Findings[i].At)
		}
		for i := range proof.Handed {
			proof.Handed[i].At = site.Fall.Flat(proof.Handed[i].At)
		}
		return proof, err
	}
}

// inSlope is a deck of the builder as it stands in the pour.
func (b *builder) inSlope(d *deck.Deck) *deck.Deck { return b.in.Tilted(b.site, d) }

// fallAfresh is why a pour that falls is not laid from another deck.
const fallAfresh = "a pour that falls, or did, is laid afresh"
