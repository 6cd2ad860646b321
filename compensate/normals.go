package compensate

import (
	"math/rand/v2"
	"sync"
)

// stream is one sequence of standard normal numbers: the same whenever it is drawn.
type stream struct{ seed, number uint64 }

// normals gives the numbers of a stream one after the other.
type normals struct {
	drawn *rand.Rand
	kept  []float64 // in place of drawing them
	given int       // of those that are kept
}

func (n *normals) next() float64 {
	if n.given < len(n.kept) {
		n.given++
		return n.kept[n.given-1]
	}
	return n.drawn.NormFloat64()
}

// several gives as many as there is room for, in the room or as they are kept.
func (n *normals) several(room []float64) []float64 {
	if end := n.given + len(room); end <= len(n.kept) {
		room, n.given = n.kept[n.given:end], end
		return room
	}
	for i := range room {
		room[i] = n.next()
	}
	return room
}

// keptStreams are the streams that were asked for more than once: to draw the numbers takes as long as what is made of
// them.
var keptStreams = struct {
	sync.Mutex
	asked map[stream]bool
	of    map[stream][]float64
	size  int
}{asked: map[stream]bool{}, of: map[stream][]float64{}}

// numbers returns a stream from its first number on, of which so many are wanted. Who wants more draws all of them.
func (s stream) numbers(wanted int) normals {
	const most = 1 << 20 // numbers that are kept
	k := &keptStreams
	k.Lock()
	defer k.Unlock()
	r := rand.New(rand.NewPCG(s.seed, s.number))
	if !k.asked[s] || wanted > most {
		k.asked[s] = true
		return normals{drawn: r}
	}
	if len(k.of[s]) < wanted {
		k.size += wanted - len(k.of[s])
		if k.size > most {
			clear(k.of)
			k.size = wanted
		}
		all := make([]float64, wanted)
		for i := range all {
			all[i] = r.NormFloat64()
		}
		k.of[s] = all
	}
	return normals{kept: k.of[s][:wanted]}
}
