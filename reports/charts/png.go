package charts

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/adler32"
	"hash/crc32"

	"github.com/klauspost/compress/flate"
)

// packer makes PNG files of pictures, one after the other, and keeps its memory
// between them.
type packer struct {
	runs []run
	rows []uint8
	out  bytes.Buffer
	flat *flate.Writer
}

// pngLevel: of flat colors the quickest level makes files hardly larger than the
// slowest.
const pngLevel = 1

func newPacker() *packer {
	flat, err := flate.NewWriter(nil, pngLevel)
	if err != nil {
		panic(err) // of a level that there is none
	}
	return &packer{flat: flat}
}

// png writes a picture as a PNG file of colors by their number: PNG (Portable Network
// Graphics) Specification, W3C 2003, ISO/IEC 15948, sections 5, 10 and 11; the zlib
// stream in it is RFC 1950.
func (p *packer) png(of indexed) ([]byte, error) {
	p.out.Reset()
	p.out.WriteString("\x89PNG\r\n\x1a\n")
	const depth, byNumber = 8, 3
	head := binary.BigEndian.AppendUint32(nil, uint32(of.width))
	head = binary.BigEndian.AppendUint32(head, uint32(of.height))
	p.chunk("IHDR", append(head, depth, byNumber, 0, 0, 0))
	var colors []byte
	for _, c := range of.palette {
		colors = append(colors, byte(c>>16), byte(c>>8), byte(c))
	}
	p.chunk("PLTE", colors)
	begun := p.begin("IDAT")
	p.out.Write([]byte{0x78, 0x01}) // a window of 32 KiB, packed quickly
	p.flat.Reset(&p.out)
	_, err := p.flat.Write(of.rows)
	if err == nil {
		err = p.flat.Close()
	}
	if err != nil {
		return nil, fmt.Errorf("packing a picture: %w", err)
	}
	p.out.Write(binary.BigEndian.AppendUint32(nil, adler32.Checksum(of.rows)))
	p.end(begun)
	p.chunk("IEND", nil)
	return bytes.Clone(p.out.Bytes()), nil
}

func (p *packer) chunk(kind string, data []byte) {
	begun := p.begin(kind)
	p.out.Write(data)
	p.end(begun)
}

// begin begins a chunk whose length is not known, and gives the place of it.
func (p *packer) begin(kind string) int {
	at := p.out.Len()
	p.out.WriteString("\x00\x00\x00\x00" + kind)
	return at
}

// end writes the length of the chunk at a place, and its checksum.
func (p *packer) end(at int) {
	const length, kind = 4, 4
	chunk := p.out.Bytes()[at:]
	binary.BigEndian.PutUint32(chunk, uint32(len(chunk)-length-kind))
	p.out.Write(binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(chunk[length:])))
}
