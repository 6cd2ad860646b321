package survey

// drift is the slow drift of an indicator's mount through a run that was not read back as well. Where it was, the
// mean of there and back is free of it.
type drift struct {
	k    *Keys
	term int
	none bool
}

// driftU is how far a mount drifts in one run, standard, mm: common practice, no source.
const driftU = 0.001

func (k *Keys) drift() drift {
	if k.Column("back") >= 0 {
		return drift{none: true}
	}
	return drift{k: k, term: k.Free(Term{Name: "drift", U: driftU})}
}

// add returns the shares of a row: those given and the drift up to it, which grows evenly with the rows in the order in
// which they were taken.
func (d drift) add(r Row, shares ...Share) []Share {
	if d.none {
		return shares
	}
	return append(shares, Share{d.term, float64(r.Number-1) / float64(max(d.k.count-1, 1))})
}
