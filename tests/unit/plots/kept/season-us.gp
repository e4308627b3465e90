# season-us: two years of a table, US units; looked at 2026-11-28
load 'head.gp'
set label '104 °F on 6 of 12 days (95 %: 5 to 7 by the collector)' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, weather of a table' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
set label 'days (95 %: build)' at screen 0.8100,0.8570 right front tc rgb '#4D4D4D' font 'Sans,12'
set label 'uses' at screen 0.8720,0.8570 right front tc rgb '#4D4D4D' font 'Sans,12'
set label 'sun, kWh/m²' at screen 0.9800,0.8570 right front tc rgb '#4D4D4D' font 'Sans,12'
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
4 1
6 1
3 2
5 2
5 3
7 3
NaN NaN
EOD
$cells1 << EOD
8 1
10 1
12 1
7 2
9 2
11 2
NaN NaN
EOD
$cells2 << EOD
14 1
16 1
18 1
13 2
15 2
17 2
NaN NaN
EOD
$cells3 << EOD
20 1
22 1
24 1
19 2
21 2
23 2
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
