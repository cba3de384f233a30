package plan

import (
	"shoreward/internal/deck"
	"shoreward/internal/job"
)

// A pour that falls is laid out flat and proven in its slope: deck.Fall says how.

// standing is a pour of a site of the builder's input and a deck on it, as they stand: in
// plan and in the slope where the soffit falls.
func (b *builder) standing(s *deck.Site, d *deck.Deck) *deck.Pour {
	if s.Fall == nil {
		return &deck.Pour{Site: *s, Deck: *d}
	}
	site := *b.site
	site.Bans, site.Keep = nil, nil // as many of them as the flat site has
	if len(s.Bans) > 0 {
		site.Bans = b.site.Bans
	}
	if len(s.Keep) > 0 {
		site.Keep = b.site.Keep
	}
	return &deck.Pour{Site: site, Deck: *b.inSlope(d)}
}

// flatLoads gives the places of loads where they lie flat.
func (b *builder) flatLoads(handed []deck.Handed) []deck.Handed {
	if f := b.site.Fall; f != nil {
		for i := range handed {
			handed[i].At = f.Flat(handed[i].At)
		}
	}
	return handed
}

// inSlope is a deck of the builder as it stands in the pour.
func (b *builder) inSlope(d *deck.Deck) *deck.Deck { return b.in.Tilted(b.site, d) }

// fallAfresh is why a pour that falls is not laid from another deck.
const fallAfresh = "a pour that falls, or did, is laid afresh"

// fallModel is what the audit takes for granted under soffits that fall, in a job that
// has one.
func fallModel(j *job.Job) [][2]string {
	for _, l := range j.Levels {
		for _, p := range l.Pours {
			if p.Slab.Fall != nil {
				return [][2]string{
					{"soffits that fall, up to 1:8", "members have their real lengths in the slope and the plumb load of each square metre of it; concrete is as thick as it is square to the slope"},
					{"push down the slope", "all that the deck carries times the slope, on top of the lateral load, as if nothing but ties and braces held it on its wedges"},
					{"leaning members", "they stand square to the slope; their load stays in the middle half of their foot, and so it does on the head"},
					{"wedges on heads", "where the soffit falls more than 1 %: hardwood, cut to the slope, level below, nailed to what lies on them; no part of the gear"},
					{"edge forms up a slope", "concrete up to 1 m up the slope is liquid: its height counts at the low edge"},
				}
			}
		}
	}
	return nil
}
