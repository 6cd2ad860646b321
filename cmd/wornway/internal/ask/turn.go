package ask

// Turn is one step of a conversation: what is said, in order, and what is asked then.
type Turn struct {
	Said []Remark
	Asks *Prompt // nil: the conversation is over
	Done bool    // the survey is finished; otherwise, once nothing is asked, the rest was left for later
	Goes string  // the answer that leads to the station that would tell most, where that is not the next one
	// Mends are the answers that measure anew what is said not to fit
	Mends []string
}

// Remark is something said to the person.
type Remark struct {
	Kind Kind
	Text string // a paragraph without line breaks; it may be empty: a line between two parts
}

// Kind is what a remark is for.
type Kind int

const (
	Plain   Kind = iota
	Caution      // how nobody gets hurt
	About        // what a question is about, or how readings are taken: a new part begins
	Refused      // what is wrong with the answer: it is asked again
	Meaning      // what came of the answer
	Odd          // what looks wrong with the readings, and what to do
	Sure         // how sure the work is by now
	Tells        // which station would tell most, or that enough was read
	Command      // a command line to be typed, in one piece
	Typing       // which words can be typed in place of an answer
)

// Prompt is what is asked.
type Prompt struct {
	Kind AnswerKind
	Text string // the question as a line, without a colon behind it

	// Of a question about the survey, before its first station:
	Key     string   // in the profile
	What    string   // is asked for, as a sentence; it was said as well
	How     string   // it is found, as a clause; "" where that is plain
	Choices []string // what can be answered, where that is a choice
	Usual   string   // what an empty answer stands for; "" where it leaves the key out
	Needed  bool     // an empty answer will not do
	Empty   string   // what an empty answer means, in words; "" where there is none

	// Of a reading:
	Station    []float64 // where, in the profile's unit; two feet of a level; nil: all are read
	Number, Of int       // the station's number, and how many there are
	Again      bool      // it was read before and is measured again
	Back       bool      // on the way back
	Columns    []string  // what is read there, in order: mostly one
	Unit       string    // of a plain number; "" where it has none

	Words []string // what can be said in place of an answer, such as undo
}

// AnswerKind is what kind of answer is wanted.
type AnswerKind int

const (
	AskQuestion AnswerKind = iota // a key of the survey
	AskStations                   // where readings are taken: positions, or every and a distance; empty: those offered
	AskReading                    // a reading at a station
)

func (r *Recording) tell(k Kind, text string) { r.turn.Said = append(r.turn.Said, Remark{k, text}) }
