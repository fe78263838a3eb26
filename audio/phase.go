package audio

import "math"

// A phaseWatch finds stretches in which channels of opposite phase cancel each
// other in their mean: a microphone wired the wrong way round, or a balanced
// one in a socket for two channels.
//
// It compares powers, without any offset, over blocks. n channels that have
// nothing to do with each other give a mean of 1/n of their power, one channel
// among silent ones too, equal ones all of it.
type phaseWatch struct {
	length   int // samples of a block
	least    int // samples that the last block needs for a verdict
	count    int // samples watched since the last verdict
	channels []moments
	mix      moments
}

const (
	// phaseBlock is the length of a block in seconds: two periods of the lowest
	// strings, so that they and an offset are told apart.
	phaseBlock = 0.1

	// phaseLeast is what the end of a sound needs for a verdict, in seconds: few
	// samples of any two channels may be opposite by chance.
	phaseLeast = 0.02

	// phaseLoss is the power of the mean, over what channels that have nothing to
	// do with each other would give, below which they cancel: 10 dB.
	phaseLoss = 0.1

	// phaseOffset is how much of the power, at least, has to be more than an
	// offset, so as to be more than rounding.
	phaseOffset = 1e-10
)

func newPhaseWatch(rate float64, channels int) phaseWatch {
	return phaseWatch{
		length:   int(math.Ceil(phaseBlock * rate)),
		least:    int(math.Ceil(phaseLeast * rate)),
		channels: make([]moments, channels),
	}
}

// room is how many samples the block still takes, 1 or more.
func (w *phaseWatch) room() int { return w.length - w.count%w.length }

// watch takes in a stretch of the channels, no longer than there is room for.
func (w *phaseWatch) watch(channels [][]float64, from, to int) {
	if w.count == w.length {
		w.reset()
	}
	for c := range channels {
		w.channels[c].add(channels[c][from:to])
	}
}

// mixed takes in the mean of what was watched, and tells whether it ends a block
// in which the channels cancel. count is then the block's length.
func (w *phaseWatch) mixed(mix []float64) bool {
	w.mix.add(mix)
	w.count += len(mix)
	return w.count == w.length && w.cancels()
}

// end tells whether the channels cancel in the count samples of a last, short
// block.
func (w *phaseWatch) end() bool {
	return w.count >= w.least && w.count < w.length && w.cancels()
}

func (w *phaseWatch) reset() {
	w.count, w.mix = 0, moments{}
	clear(w.channels)
}

func (w *phaseWatch) cancels() bool {
	var varied, all float64
	for _, c := range w.channels {
		varied += c.variance(w.count)
		all += c.squares / float64(w.count)
	}
	n := float64(len(w.channels))
	return varied > phaseOffset*all && w.mix.variance(w.count) < phaseLoss*varied/(n*n)
}

// moments are sums over samples.
type moments struct{ sum, squares float64 }

func (m *moments) add(x []float64) {
	var sum, squares float64
	for _, v := range x {
		sum += v
		squares += v * v
	}
	m.sum += sum
	m.squares += squares
}

// variance is that of so many samples.
func (m *moments) variance(count int) float64 {
	mean := m.sum / float64(count)
	return m.squares/float64(count) - mean*mean
}
