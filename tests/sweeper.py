"""A road sweeper as a person types it into `wiremap start`: two old plugs, a new one, a module in the CAN pair."""

from __future__ import annotations

OLD = """paste
Pin;Signal;Colour;Size;Amps
1;+24 V permanent;rt;1,0;4
2;Terminal 15;sw;0,75;0,5
3;Ground;br;1,0;4
4;CAN high;ge;0,5;
5;CAN low;gn;0,5;
6;Brush motor relay;bl;0,75;1
7;Water pump relay;gr;0,75;1
8;Work lamp relay;ws;0,75;1
9;not used;;;
.
9 sealed
yes
paste
Pin;Signal;Colour;Size;Amps
1;Sensor supply 5 V;rt/ws;0,5;0,05
2;Broom pressure signal;gn/ws;0,5;
3;Sensor ground;br/ws;0,5;
4;Water level sender;bl/ws;0,5;
5;Fan speed pickup;gr/ws;0,5;
6;Buzzer;sw/ws;0,5;0,2
7;Beacon relay;vi;0,75;1
8;;;;
.
8-way sealed
no
"""
NEW = """paste
Pin;Signal;Colour;Size;Amps
1;Battery + (30);rt;1,0;4
2;Battery + (30);rt;1,0;4
3;Battery -;br;1,0;4
4;Battery -;br;1,0;4
5;Ignition (15);sw;0,5;0,5
6;CAN H;ge;0,5;
7;CAN L;gn;0,5;
8;Brush motor relay output;bl;0,75;1
9;Water pump relay output;gr;0,75;1
10;Work lamp relay output;ws;0,75;1
11;Sensor supply 5 V;rt/ws;0,5;0,05
12;Pressure sensor signal;gn/ws;0,5;
13;Sensor ground;br/ws;0,5;
14;Water level;bl/ws;0,5;
15;Fan speed;gr/ws;0,5;
16;Buzzer output;sw/ws;0,5;0,2
17;not used
18;LIN;vi/ws;0,5;
19;Reverse signal input;or;0,5;
20;Beacon output;vi;0,75;1
21;not used
22;not used
23;not used
.
23-way sealed
no
"""
MODULE = """24
F12 10
F13 5
yes
paste
Pin;Signal;Colour;Size;Amps
1;Supply 12/24 V;rt;0,75;0,3
2;Ground;br;0,75;0,3
3;CAN A high;ge;0,5;
4;CAN A low;gn;0,5;
5;CAN B high;ge;0,5;
6;CAN B low;gn;0,5;
.
6 not sealed
leads
3/4
old.1
blade 1
0,75 RD 300
M8
none
"""
SPLICE = f"{OLD}{NEW}splice\n{MODULE}"
ADAPTER = f"{OLD}{NEW}adapter\n24\nF12 10\nF13 5\nno\n"
