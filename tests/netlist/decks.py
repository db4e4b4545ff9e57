"""Lines as decks of several dialects write them, all of them in order: none may be reported."""

LINES = r"""
VIN 1 0 SIN(0 0.1 5MEG) AC 1
Q1 4 2 6 QNL
.MODEL QNL NPN(BF=80 RB=100 CCS=2PF TF=0.3NS TR=6NS CJE=3PF CJC=2PF VA=50)
.WIDTH IN=72
.OPTIONS NOPAGE
.PLOT DC V(4) V(5) (0,5)
MN1 1 2 3 4 NMOS L=10U W=10U AD=100P AS=100P
MN2 1 2 3 4 NMOS L = 10U W = 10U
E1 3 0 VALUE={V(1)*2}
E2 3 0 VALUE = { LIMIT(V(1), 0, 5) }
E3 3 0 1 2 1E5
E4 (3 0) (1 2) 10
E5 3 0 POLY(1) 1 0 0 2
EAND out 0 and(2) a 0 b 0 (0.5,0) (4.5,5)
E6 3 0 LAPLACE {V(1)} = {1/(1+s)}
E7 3 0 vol='2*v(1)'
G1 3 0 CUR='V(1)'
G2 3 0 TABLE {V(1,2)} = (0,0) (1,1m)
F1 3 0 VSENS 2
F2 3 0 POLY(2) V1 V2 0 1 1
H1 3 0 VSENS 50
B1 out 0 V={IF(V(1)>2.5, 5, 0)}
B2 out 0 I=V(1)*V(2)+sin(2*pi*time) ; a law
B3 out 0 V=V(1) > 2.5 ? 5 : 0
B4 out 0 V = table(V(1), 0, 0, 1, 5)
XU1 1 2 3 4 5 OPAMP PARAMS: GAIN=1E5
XU2 1 2 3 4 5 OPAMP GAIN = {1E5*2} m=2
XU3 a b c part tol=1 k='x+1'
.subckt OPAMP 1 2 3 4 5 PARAMS: GAIN=1 m=1
R1 1 2 {GAIN}
.ends OPAMP
.PARAM tau = 3.14159 w0={2*tau*1k}
.param x=agauss(1,0.1,3) y='x*2'
.param wn=1u lmin=60n, x2 = 3
.func sq(x) {x*x}
.func db2(x,y)=20*log10(x/y)
Rload out 0 {w0} TC1=0.001
Rm out 0 10k tol=1 pwr=0.1
Rn out 0 r=10k
C1 a b {1p*2} IC=5V
C2 N001 0 10u V=50 Irms=0 Rser=0.1 Lser=0
C3 a b CMOD L=10u W=1u
C4 a b POLY 1p 2p
L1 a b 10u Rser=0.1 Ipk=2
L2 a b 10m IC=1m
S1 1 2 3 4 SMOD
S2 1 2 3 4 SMOD ON
.MODEL SMOD VSWITCH(RON=1 ROFF=1MEG VON=1 VOFF=0)
.model sw1 SW(Ron=.1 Roff=1Meg Vt=.5 Vh=-.4)
W1 1 2 VSENS WMOD
T1 1 0 2 0 Z0=50 TD=10NS
T2 1 0 2 0 Z0=50 F=1MEG NL=0.25
O1 1 0 2 0 LTRAMOD
A1 [1 2] 3 nand1
A2 in out gainblock
A3 %v(in) %i(a b) m1
A4 [~a ~b] null out latch
.model nand1 d_nand(rise_delay=1n fall_delay = 1n)
.model adc1 adc_bridge(in_low=1 in_high=2)
K1 L1 L2 0.99
KALL L1 L2 .9 COREMOD
D1 1 2 DMOD 2 IC=0.5
D2 a k DMOD area=2
D3 a k DMOD OFF
J1 d g s JMOD
J2 d g s JMOD 2 OFF
Z1 d g s ZMOD
Q2 c b e 0 3Q9000
Q3 c b e QMOD 2
Q4 c b e s QMOD 1.5 OFF IC=0.6,5
M1 d g s s NFET1
M2 d g s b nch w='2*wn' l=lmin m=2
M3 d g s b nch w={2*wn} l={lmin} ad={wn*lmin} pd='2*(wn+lmin)'
V1 1 0 DC 5V AC 1V 0
V2 a 0 PWL FILE=wave.txt
V3 a 0 PWL(0 0, 1u 5, 2u 5)
V4 a 0 PWL(0,0)(1u,5)
V5 N001 0 SINE(0 1 1k)
V6 a 0 5 Rser=0.1
V7 a 0 EXP(0 5 1u 1u)
V8 a 0 SFFM(0 1 10k 5 1k)
V9 a 0 PULSE(0 {w0} 0 1n 1n 1u 2u)
V10 a 0 dc={w0} ac=1
V11 a 0
I1 0 1 PULSE(0 1m 1u 1n 1n 1u 2u)
U1 a b c LTRAX L=1 N=3
U2 INV $P_HI $P_LO in out D_GATE IO_X
N1 a b c osdimod
Y1 a 0 b 0 ymod len=2
P1 a b 0 c d 0 PLINE
.model nch nmos level=1 vto=0.7
.model pch pmos (level = 1
.MODEL DX D (IS = 1.0E-14 N=1)
.model DY ako:DX D(is=2f)
.model RX RES (R=1 TC1=100u DEV=5%)
.tran 1n 1u 0 1n uic
.ac dec 10 1 1meg
.dc vin 0 5 0.1
.measure tran tr trig v(1) val=0.5 rise=1 targ v(2) val=0.5 rise=1
.print tran v(1) i(v1)
.nodeset v(1)=5
.ic v(1)=0 v(2)={w0}
.four 1k v(1)
.step param R list 1 2 3
.backanno
.options gmin=1e-10 $ a remark
.option post=2 list
.temp 27 85
.probe v(1)
.save all
.global vdd! gnd!
MM0 Y A VSS VSS nch W=1u L=60n m=1
RR0 a b 1K $SUB=VSS $[rppoly] $W=1u
CC0 a b 1p $[mim] $X=1
RR1 a b $[nwell] r=1k
DD0 a b dn 1p $X=5 $Y=6
R$1 a$2 b 1k
R[1] data<3> data[4] 1k
x0 a b!c d/e cell_1.v2
Rq "net 1" b 1k
R_ab /top/a \b 1k
CX net_a net_b 3.2e-15
"""
