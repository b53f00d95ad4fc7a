package archive

import (
	"context"
	"encoding/binary"

	"github.com/apache/thrift/lib/go/thrift"
	xparquet "github.com/xitongsys/parquet-go/parquet"
	"github.com/xitongsys/parquet-go/writer"
)

// mend repairs the footer that the table library leaves after Flush(true): null counts that leave out the first value of each
// page, no column orders (without which min and max mean nothing), encodings that were not used, and field ids, scales and
// lengths of zero on every column. Statistics go by the column's place, since paths still carry Go's names here.
func mend(w *writer.ParquetWriter, stats []columnStats) {
	f := w.Footer
	by := createdBy
	f.CreatedBy = &by
	f.ColumnOrders = nil
	for _, e := range f.Schema {
		e.TypeLength, e.Scale, e.Precision, e.FieldID = nil, nil, nil, nil
		if e.GetNumChildren() == 0 && e.Type != nil {
			f.ColumnOrders = append(f.ColumnOrders, &xparquet.ColumnOrder{TYPE_ORDER: xparquet.NewTypeDefinedOrder()})
		}
	}
	for _, g := range f.RowGroups { // one, or none
		for i, c := range g.Columns {
			s := xparquet.NewStatistics()
			s.NullCount, s.MinValue, s.MaxValue = &stats[i].nulls, stats[i].min, stats[i].max
			c.MetaData.Statistics = s
			c.MetaData.Encodings = []xparquet.Encoding{xparquet.Encoding_PLAIN, xparquet.Encoding_RLE}
		}
	}
}

// writeFooter ends the file in the place of the library's WriteStop, which cannot leave out its page index: that has no null
// counts and no ends where a page begins with a null, and some engines skip the rows it denies.
func writeFooter(w *writer.ParquetWriter) error {
	w.RenameSchema()
	t := thrift.NewTSerializer()
	t.Protocol = thrift.NewTCompactProtocolFactoryConf(nil).GetProtocol(t.Transport)
	text, err := t.Write(context.Background(), w.Footer)
	if err != nil {
		return err
	}
	text = binary.LittleEndian.AppendUint32(text, uint32(len(text)))
	_, err = w.PFile.Write(append(text, "PAR1"...))
	return err
}
