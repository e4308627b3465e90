# months-us: twelve months with uses, a stated start, nothing scalds, US units; looked at 2026-11-28
load 'head.gp'
set label '115 °F by 15:00, clear sky: sure from April to September, likely in 2 more' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'Glazed wash stand, 10.6 gal of water from 59 °F, the 21st of each month of 2026, start 9:57 UTC+02:00' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.1250
set rmargin at screen 0.8900
set bmargin at screen 0.3250
set tmargin at screen 0.6900
set grid xtics ytics back ls 100
set label 'Water when warmest by the deadline, °F (bar: from the start; line: 95 %)' at screen 0.0180,0.7200 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [40:140]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 40,20,140.00002
set xrange [0.5:12.5]
set grid noxtics
set xtics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' ('Jan' 1, 'Feb' 2, 'Mar' 3, 'Apr' 4, 'May' 5, 'Jun' 6, 'Jul' 7, 'Aug' 8, 'Sep' 9, 'Oct' 10, 'Nov' 11, 'Dec' 12)
set arrow from graph 0, first 114.8 to graph 1, first 114.8 nohead lw 1.5 dt (3,3) lc rgb '#000000'
set label 'target 115 °F' at graph 1, first 114.8 left offset 0.6,0 front tc rgb '#000000' font 'Sans,12'
set label '55' at first 1, first 66.6784369 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '70' at first 2, first 81.7984369 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '91' at first 3, first 103.398437 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '106' at first 4, first 123.967123 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '107' at first 5, first 123.967123 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '107' at first 6, first 123.967123 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '107' at first 7, first 123.967123 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '107' at first 8, first 123.967123 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '106' at first 9, first 123.967123 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '86' at first 10, first 97.9984369 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label '64' at first 11, first 76.3984369 center offset 0,0 front tc rgb '#000000' font 'Sans,12'
set label 'no sun' at first 12, first 40 center offset 0,1 front tc rgb '#4D4D4D' font 'Sans,12'
set label 'reached?' at screen 0.0180,0.8150 left front tc rgb '#000000' font 'Sans,13.5'
set object rectangle from screen 0.1250, screen 0.7650 to screen 0.1888, screen 0.8650 back fc rgb '#FFFFFF' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Jan' at screen 0.1569,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'no' at screen 0.1569,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.1888, screen 0.7650 to screen 0.2525, screen 0.8650 back fc rgb '#FFFFFF' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Feb' at screen 0.2206,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'unlikely' at screen 0.2206,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.2525, screen 0.7650 to screen 0.3163, screen 0.8650 back fc rgb '#CFE3F0' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Mar' at screen 0.2844,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'likely' at screen 0.2844,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.3163, screen 0.7650 to screen 0.3800, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Apr' at screen 0.3481,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.3481,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.3800, screen 0.7650 to screen 0.4437, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'May' at screen 0.4119,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.4119,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.4437, screen 0.7650 to screen 0.5075, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Jun' at screen 0.4756,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.4756,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.5075, screen 0.7650 to screen 0.5713, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Jul' at screen 0.5394,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.5394,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.5713, screen 0.7650 to screen 0.6350, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Aug' at screen 0.6031,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.6031,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.6350, screen 0.7650 to screen 0.6987, screen 0.8650 back fc rgb '#7FB8D8' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Sep' at screen 0.6669,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'yes' at screen 0.6669,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.6987, screen 0.7650 to screen 0.7625, screen 0.8650 back fc rgb '#CFE3F0' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Oct' at screen 0.7306,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'likely' at screen 0.7306,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7625, screen 0.7650 to screen 0.8262, screen 0.8650 back fc rgb '#FFFFFF' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Nov' at screen 0.7944,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'unlikely' at screen 0.7944,0.7970 center front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.8263, screen 0.7650 to screen 0.8900, screen 0.8650 back fc rgb '#DDDDDD' fs solid 1.0 border lc rgb '#4D4D4D'
set label 'Dec' at screen 0.8581,0.8350 center front tc rgb '#000000' font 'Sans,13.5'
set label 'no sun' at screen 0.8581,0.7970 center front tc rgb '#000000' font 'Sans,12'
set label 'latest start' at screen 0.0180,0.2350 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '–' at screen 0.1569,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '–' at screen 0.2206,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:58' at screen 0.2844,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:57' at screen 0.3481,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:56' at screen 0.4119,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:55' at screen 0.4756,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:54' at screen 0.5394,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:53' at screen 0.6031,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:52' at screen 0.6669,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '13:51' at screen 0.7306,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '–' at screen 0.7944,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label '–' at screen 0.8581,0.2350 center front tc rgb '#000000' font 'Sans,12'
set label 'most water, gal' at screen 0.0180,0.1890 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '18' at screen 0.1569,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '20' at screen 0.2206,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '24' at screen 0.2844,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '26' at screen 0.3481,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '26' at screen 0.4119,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '26' at screen 0.4756,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '26' at screen 0.5394,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '26' at screen 0.6031,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '26' at screen 0.6669,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '23' at screen 0.7306,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '20' at screen 0.7944,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label '–' at screen 0.8581,0.1890 center front tc rgb '#000000' font 'Sans,12'
set label 'uses' at screen 0.0180,0.1430 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '7' at screen 0.1569,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '9' at screen 0.2206,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '12' at screen 0.2844,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '14' at screen 0.3481,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '14' at screen 0.4119,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '14' at screen 0.4756,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '14' at screen 0.5394,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '14' at screen 0.6031,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '14' at screen 0.6669,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '11' at screen 0.7306,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '8' at screen 0.7944,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label '–' at screen 0.8581,0.1430 center front tc rgb '#000000' font 'Sans,12'
set label 'air, °F' at screen 0.0180,0.0970 left front tc rgb '#4D4D4D' font 'Sans,12'
set label '41' at screen 0.1569,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '43' at screen 0.2206,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '45' at screen 0.2844,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '46' at screen 0.3481,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '48' at screen 0.4119,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '50' at screen 0.4756,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '52' at screen 0.5394,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '54' at screen 0.6031,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '55' at screen 0.6669,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '57' at screen 0.7306,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '59' at screen 0.7944,0.0970 center front tc rgb '#000000' font 'Sans,12'
set label '61' at screen 0.8581,0.0970 center front tc rgb '#000000' font 'Sans,12'
$bars0 << EOD
4 105.98 3.68 4.32 46.4 98.0911522 113.868848
5 107.06 4.68 5.32 46.4 99.1711522 114.948848
6 107.06 5.68 6.32 46.4 99.1711522 114.948848
7 107.06 6.68 7.32 46.4 99.1711522 114.948848
8 107.06 7.68 8.32 46.4 99.1711522 114.948848
9 105.98 8.68 9.32 46.4 98.0911522 113.868848
NaN NaN NaN NaN NaN NaN NaN
EOD
$bars1 << EOD
3 91.4 2.68 3.32 46.4 83.5111522 99.2888478
10 86 9.68 10.32 46.4 78.1111522 93.8888478
NaN NaN NaN NaN NaN NaN NaN
EOD
$bars2 << EOD
1 54.68 0.68 1.32 46.4 46.7911522 62.5688478
2 69.8 1.68 2.32 46.4 61.9111522 77.6888478
11 64.4 10.68 11.32 46.4 56.5111522 72.2888478
NaN NaN NaN NaN NaN NaN NaN
EOD
plot NaN, $bars0 using 1:2:3:4:5:2 with boxxyerror fc rgb '#0072B2' fs transparent solid 0.75 border lc rgb '#0072B2', $bars1 using 1:2:3:4:5:2 with boxxyerror fc rgb '#0072B2' fs transparent solid 0.30 border lc rgb '#0072B2', $bars2 using 1:2:3:4:5:2 with boxxyerror fc rgb '#0072B2' fs transparent solid 0.00 border lc rgb '#0072B2', $bars0 using 1:2:6:7 with yerrorbars lw 2 pt 7 ps 0.9 lc rgb '#000000', $bars1 using 1:2:6:7 with yerrorbars lw 2 pt 7 ps 0.9 lc rgb '#000000', $bars2 using 1:2:6:7 with yerrorbars lw 2 pt 7 ps 0.9 lc rgb '#000000'
unset multiplot
unset output
