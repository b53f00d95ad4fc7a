package compute
import ("testing";"fmt";"os";"encoding/csv";"slices";"math";"path/filepath";"strings";"sort")
func zload(t *testing.T, name string) *Pass {
	f,err:=os.Open("/work/shared/captures/"+name+".frames.csv"); if err!=nil {t.Fatal(err)}
	defer f.Close()
	rows,_:=csv.NewReader(f).ReadAll(); at:=slices.Index(rows[0],"frame_ms"); var x []int64
	for _,r:=range rows[1:] { x=append(x,int64(math.RoundToEven(parse(t,r[at])*1e6))) }
	lo,hi:=Keep(x,Window{WarmupNS:2e9,LengthNS:12e9})
	return Figure(x[lo:hi],Duration(x[:lo]),PassOptions{},nil)
}
func TestReal(t *testing.T) {
	m,_:=filepath.Glob("/work/shared/captures/*.r1.frames.csv"); sort.Strings(m)
	show:=func(n string, ps []*Pass) { s:=CompareSiblings(ps); fmt.Println(n, s.NotReproducible); for _,c:=range s.Checks { fmt.Printf("   drift %.3f p %.4f %v dist %v off %q\n",c.DriftPct.X,c.DriftP.X,c.Drifts,c.Disturbances,c.Off)} }
	for _,f:=range m { n:=strings.TrimSuffix(filepath.Base(f),".r1.frames.csv"); show(n,[]*Pass{zload(t,n+".r1"),zload(t,n+".r2"),zload(t,n+".r3")}) }
	k:="kestrel.reactor.2560x1440."
	show("dist",[]*Pass{zload(t,k+"r1"),zload(t,k+"disturbed"),zload(t,k+"r3")})
	show("dist2",[]*Pass{zload(t,k+"r1"),zload(t,k+"disturbed")})
	show("dist4",[]*Pass{zload(t,k+"r1"),zload(t,k+"r2"),zload(t,k+"r3"),zload(t,k+"disturbed")})
}
