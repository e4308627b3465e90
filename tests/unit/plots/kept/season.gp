# season: a typical year, every grade from both sides, no November; looked at 2026-11-28
load 'head.gp'
set label '40 °C on 71 of 134 days (95 %: 60 to 78 by the collector)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, weather of Wash Hill, a typical year' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
set label 'days (95 %: build)' at screen 0.8100,0.8570 right front tc rgb '#4D4D4D' font 'Sans,12'
set label 'uses' at screen 0.8720,0.8570 right front tc rgb '#4D4D4D' font 'Sans,12'
set label 'sun, kWh/m²' at screen 0.9800,0.8570 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '0' at screen 0.7480,0.8023 right front tc rgb '#000000' font 'Sans,13.5'
set label '0–0' at screen 0.8100,0.8023 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '0' at screen 0.8720,0.8023 right front tc rgb '#000000' font 'Sans,13.5'
set label '40' at screen 0.9800,0.8023 right front tc rgb '#000000' font 'Sans,13.5'
set label '3' at screen 0.7480,0.7478 right front tc rgb '#000000' font 'Sans,13.5'
set label '2–3' at screen 0.8100,0.7478 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '14' at screen 0.8720,0.7478 right front tc rgb '#000000' font 'Sans,13.5'
set label '51' at screen 0.9800,0.7478 right front tc rgb '#000000' font 'Sans,13.5'
set label '5' at screen 0.7480,0.6933 right front tc rgb '#000000' font 'Sans,13.5'
set label '4–5' at screen 0.8100,0.6933 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '29' at screen 0.8720,0.6933 right front tc rgb '#000000' font 'Sans,13.5'
set label '63' at screen 0.9800,0.6933 right front tc rgb '#000000' font 'Sans,13.5'
set label '8' at screen 0.7480,0.6388 right front tc rgb '#000000' font 'Sans,13.5'
set label '7–8' at screen 0.8100,0.6388 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '43' at screen 0.8720,0.6388 right front tc rgb '#000000' font 'Sans,13.5'
set label '74' at screen 0.9800,0.6388 right front tc rgb '#000000' font 'Sans,13.5'
set label '10' at screen 0.7480,0.5843 right front tc rgb '#000000' font 'Sans,13.5'
set label '9–11' at screen 0.8100,0.5843 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '58' at screen 0.8720,0.5843 right front tc rgb '#000000' font 'Sans,13.5'
set label '85' at screen 0.9800,0.5843 right front tc rgb '#000000' font 'Sans,13.5'
set label '13' at screen 0.7480,0.5298 right front tc rgb '#000000' font 'Sans,13.5'
set label '11–14' at screen 0.8100,0.5298 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '72' at screen 0.8720,0.5298 right front tc rgb '#000000' font 'Sans,13.5'
set label '97' at screen 0.9800,0.5298 right front tc rgb '#000000' font 'Sans,13.5'
set label '16' at screen 0.7480,0.4752 right front tc rgb '#000000' font 'Sans,13.5'
set label '13–16' at screen 0.8100,0.4752 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '86' at screen 0.8720,0.4752 right front tc rgb '#000000' font 'Sans,13.5'
set label '108' at screen 0.9800,0.4752 right front tc rgb '#000000' font 'Sans,13.5'
set label '18' at screen 0.7480,0.4207 right front tc rgb '#000000' font 'Sans,13.5'
set label '15–19' at screen 0.8100,0.4207 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '101' at screen 0.8720,0.4207 right front tc rgb '#000000' font 'Sans,13.5'
set label '119' at screen 0.9800,0.4207 right front tc rgb '#000000' font 'Sans,13.5'
set label '21' at screen 0.7480,0.3662 right front tc rgb '#000000' font 'Sans,13.5'
set label '18–22' at screen 0.8100,0.3662 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '115' at screen 0.8720,0.3662 right front tc rgb '#000000' font 'Sans,13.5'
set label '130' at screen 0.9800,0.3662 right front tc rgb '#000000' font 'Sans,13.5'
set label '23' at screen 0.7480,0.3117 right front tc rgb '#000000' font 'Sans,13.5'
set label '20–24' at screen 0.8100,0.3117 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '130' at screen 0.8720,0.3117 right front tc rgb '#000000' font 'Sans,13.5'
set label '142' at screen 0.9800,0.3117 right front tc rgb '#000000' font 'Sans,13.5'
set label '29' at screen 0.7480,0.2027 right front tc rgb '#000000' font 'Sans,13.5'
set label '24–30' at screen 0.8100,0.2027 right front tc rgb '#4D4D4D' font 'Sans,12'
set label '158' at screen 0.8720,0.2027 right front tc rgb '#000000' font 'Sans,13.5'
set label '164' at screen 0.9800,0.2027 right front tc rgb '#000000' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.1150
set rmargin at screen 0.6900
set bmargin at screen 0.1700
set tmargin at screen 0.8350
set grid xtics ytics back ls 100
set object rectangle from screen 0.1150, screen 0.084 to screen 0.1330, screen 0.108 front fillcolor rgb '#0072B2' fillstyle solid border lc rgb '#C4C4C4'
set label 'sure (95 % and more)' at screen 0.1400,0.0960 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.3400, screen 0.084 to screen 0.3580, screen 0.108 front fillcolor rgb '#E69F00' fillstyle solid border lc rgb '#C4C4C4'
set label 'likely (50 to 95 %)' at screen 0.3650,0.0960 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.5550, screen 0.084 to screen 0.5730, screen 0.108 front fillcolor rgb '#F0C766' fillstyle solid border lc rgb '#C4C4C4'
set label 'perhaps (5 to 50 %)' at screen 0.5800,0.0960 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7700, screen 0.084 to screen 0.7880, screen 0.108 front fillcolor rgb '#FFFFFF' fillstyle solid border lc rgb '#C4C4C4'
set label 'not' at screen 0.7950,0.0960 left front tc rgb '#000000' font 'Sans,12'
set label '1540 uses a year (95 %: 1410 to 1660), 610 kWh of heat' at screen 0.1150,0.0400 left front tc rgb '#000000' font 'Sans,13.5'
$cells0 << EOD
6 1
3 2
5 2
5 3
7 3
5 4
7 4
5 5
7 5
5 6
7 6
5 7
7 7
5 8
7 8
4 9
6 9
4 10
6 10
4 11
6 11
4 12
6 12
NaN NaN
EOD
$cells1 << EOD
4 1
8 1
10 1
12 1
7 2
9 2
11 2
9 3
11 3
13 3
9 4
11 4
13 4
9 5
11 5
13 5
9 6
11 6
13 6
9 7
11 7
13 7
9 8
11 8
13 8
8 9
10 9
12 9
8 10
10 10
12 10
8 11
10 11
12 11
8 12
10 12
12 12
NaN NaN
EOD
$cells2 << EOD
14 1
16 1
18 1
13 2
15 2
17 2
15 3
17 3
19 3
15 4
17 4
19 4
15 5
17 5
19 5
15 6
17 6
19 6
15 7
17 7
19 7
15 8
17 8
19 8
14 9
16 9
18 9
14 10
16 10
18 10
14 11
16 11
18 11
14 12
16 12
18 12
NaN NaN
EOD
$cells3 << EOD
20 1
22 1
24 1
19 2
21 2
23 2
21 3
23 3
25 3
21 4
23 4
25 4
21 5
23 5
25 5
21 6
23 6
25 6
21 7
23 7
25 7
21 8
23 8
25 8
20 9
22 9
24 9
20 10
22 10
24 10
20 11
22 11
24 11
20 12
22 12
24 12
NaN NaN
EOD
set xrange [0.4:31.6]
set yrange [12.6:0.4]
set border 0
unset grid
unset key
set xtics scale 0 textcolor rgb '#4D4D4D' ("1" 1, "6" 6, "11" 11, "16" 16, "21" 21, "26" 26, "31" 31)
set ytics scale 0 textcolor rgb '#000000' ("January" 1, "February" 2, "March" 3, "April" 4, "May" 5, "June" 6, "July" 7, "August" 8, "September" 9, "October" 10, "November" 11, "December" 12)
set style fill solid 1.0 border lc rgb '#C4C4C4'
plot $cells0 using 1:2:(0.45):(0.42) with boxxyerrorbars lc rgb '#FFFFFF' notitle, $cells1 using 1:2:(0.45):(0.42) with boxxyerrorbars lc rgb '#F0C766' notitle, $cells2 using 1:2:(0.45):(0.42) with boxxyerrorbars lc rgb '#E69F00' notitle, $cells3 using 1:2:(0.45):(0.42) with boxxyerrorbars lc rgb '#0072B2' notitle
unset multiplot
unset output
