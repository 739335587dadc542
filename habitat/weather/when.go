package weather

// moment is a time as a file writes it.
type moment struct {
	// minutes since 1970-01-01 00:00 on the clock that the file uses.
	minutes int
	// zoned says that the text names its own offset, east of UTC, in minutes.
	zoned  bool
	offset int
}

// when reads a date and a time of day: 2017-02-10T14:04:00, 2010-01-01 00:51,
// 2/10/2017 14:04 or 2017/02/10 14:04, with or without seconds (which are
// dropped) and with or without Z or an offset such as -06:00. 24:00 ends its
// day.
func when(text []byte) (m moment, ok bool) {
	p := digits{text: text}
	first, width := p.take(4)
	var year, month, dom int
	switch sep := p.mark(); {
	case width == 4 && (sep == '-' || sep == '/'):
		year = first
		month, _ = p.take(2)
		if p.mark() != sep {
			return m, false
		}
		dom, _ = p.take(2)
	case width > 0 && width <= 2 && sep == '/':
		month = first
		dom, _ = p.take(2)
		if p.mark() != '/' {
			return m, false
		}
		if year, width = p.take(4); width != 4 {
			return m, false
		}
	default:
		return m, false
	}
	if sep := p.mark(); sep != 'T' && sep != ' ' {
		return m, false
	}
	for p.peek() == ' ' { // an hour filled up with a blank
		p.mark()
	}
	hour, hourWidth := p.take(2)
	if p.mark() != ':' {
		return m, false
	}
	minute, minuteWidth := p.take(2)
	if p.peek() == ':' {
		p.mark()
		if second, w := p.take(2); w != 2 || second > 60 {
			return m, false
		}
		if p.peek() == '.' {
			p.mark()
			p.take(9)
		}
	}
	if hourWidth == 0 || minuteWidth != 2 || minute > 59 || hour > 24 || hour == 24 && minute > 0 || !isDate(year, month, dom) {
		return m, false
	}
	m.minutes = (dayNumber(year, month, dom)*24+hour)*60 + minute
	return m, p.zone(&m)
}

// digits walks over a text of numbers and marks.
type digits struct {
	text []byte
	at   int
}

// take reads up to most digits and says how many there were.
func (p *digits) take(most int) (n, width int) {
	for width < most && p.at < len(p.text) && p.text[p.at] >= '0' && p.text[p.at] <= '9' {
		n = n*10 + int(p.text[p.at]-'0')
		p.at++
		width++
	}
	return n, width
}

// peek gives the next byte, 0 at the end; mark takes it too.
func (p *digits) peek() byte {
	if p.at < len(p.text) {
		return p.text[p.at]
	}
	return 0
}

func (p *digits) mark() byte {
	c := p.peek()
	if c != 0 {
		p.at++
	}
	return c
}

// zone reads what follows the time: nothing, Z, or a sign and an offset.
func (p *digits) zone(m *moment) bool {
	switch c := p.mark(); c {
	case 0:
		return true
	case 'Z':
		m.zoned = true
	case '+', '-':
		hours, width := p.take(2)
		if p.peek() == ':' {
			p.mark()
		}
		minutes, _ := p.take(2)
		if width != 2 || hours > 14 || minutes > 59 {
			return false
		}
		m.zoned, m.offset = true, hours*60+minutes
		if c == '-' {
			m.offset = -m.offset
		}
	default:
		return false
	}
	return p.at == len(p.text)
}
