# energy: one run, clouds and a pump stop; looked at 2026-11-28
load 'head.gp'
set label 'Glazed wash stand: 61 % of the sun’s energy stayed in the water' at screen 0.0180,0.9620 left front tc rgb '#000000' font 'Sans,20.25'
set label 'wash-stand-glazed: Wash stand behind the seedling tunnel, 4 May 2026, 51.87° N, 0.63° E' at screen 0.0180,0.9200 left front tc rgb '#4D4D4D' font 'Sans,13.5'
load 'panel.gp'
set lmargin at screen 0.0000
set rmargin at screen 1.0000
set bmargin at screen 0.3950
set tmargin at screen 0.9000
set grid xtics ytics back ls 100
unset grid
set border 0
set xrange [0:1200]
set yrange [0:404]
$flow0 << EOD
164 202.613
190 202.613
197.545 203.037
204.995 204.302
212.257 206.394
219.238 209.286
225.852 212.942
232.015 217.315
237.65 222.35
242.685 227.985
247.058 234.148
250.714 240.762
253.606 247.743
255.698 255.005
256.963 262.455
257.387 270
257.387 340
262.387 340
230.694 356
199 340
204 340
204 270
203.912 268.432
203.649 266.885
203.214 265.376
202.614 263.926
201.854 262.552
200.946 261.271
199.899 260.101
198.729 259.054
197.448 258.146
196.074 257.386
194.624 256.786
193.115 256.351
191.568 256.088
190 256
164 256
EOD
set label 'not absorbed' at screen 0.1922,0.8800 center front tc rgb '#000000' font 'Sans,12'
set label '28 %, 1.47 MJ' at screen 0.1922,0.8538 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow1 << EOD
164 189.741
395.258 189.741
398.266 189.91
401.237 190.415
404.133 191.249
406.917 192.402
409.554 193.86
412.012 195.604
414.259 197.612
416.267 199.859
418.011 202.316
419.468 204.954
420.621 207.738
421.456 210.633
421.96 213.604
422.129 216.613
422.129 340
427.129 340
415.694 356
404.258 340
409.258 340
409.258 216.613
409.17 215.045
408.907 213.498
408.472 211.989
407.871 210.539
407.112 209.164
406.203 207.884
405.157 206.713
403.986 205.667
402.706 204.759
401.332 203.999
399.882 203.399
398.373 202.964
396.825 202.701
395.258 202.613
164 202.613
EOD
set label 'collector’s loss' at screen 0.3464,0.8800 center front tc rgb '#000000' font 'Sans,12'
set label '7 %, 0.35 MJ' at screen 0.3464,0.8538 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow2 << EOD
164 183.472
610.129 183.472
610.129 189.741
164 189.741
EOD
set label 'warming the collector' at screen 0.5034,0.6722 right front tc rgb '#000000' font 'Sans,12'
set label '3 %, 0.17 MJ' at screen 0.5034,0.6472 right front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from first 172, first 48 to first 622.129, first 272 front lw 1.5 fs empty border lc rgb '#4D4D4D'
set label 'collector' at screen 0.3309,0.4338 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow3 << EOD
164 182.341
850 182.341
851.735 182.438
853.449 182.729
855.119 183.211
856.725 183.876
858.246 184.717
859.664 185.722
860.96 186.881
862.118 188.177
863.124 189.594
863.965 191.116
864.63 192.721
865.111 194.392
865.403 196.105
865.5 197.841
865.5 340
870.5 340
864.75 356
859 340
864 340
864 197.841
863.912 196.273
863.649 194.726
863.214 193.217
862.614 191.766
861.854 190.392
860.946 189.112
859.899 187.941
858.729 186.895
857.448 185.987
856.074 185.227
854.624 184.626
853.115 184.192
851.568 183.929
850 183.841
164 183.841
EOD
set label 'container’s loss' at screen 0.7206,0.8800 center front tc rgb '#000000' font 'Sans,12'
set label '1 %, 0.03 MJ' at screen 0.7206,0.8538 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow4 << EOD
164 66
798 66
802 49
973 49
981 182.341
164 182.341
EOD
set label 'kept in the water' at screen 0.8325,0.5640 left front tc rgb '#000000' font 'Sans,12'
set label '61 %, 3.20 MJ' at screen 0.8325,0.5365 left front tc rgb '#4D4D4D' font 'Sans,12'
set object circle at first 706.065, first 124.17 size first 20 front fc rgb 'white' lw 1.5 fs solid 1.0 border lc rgb '#4D4D4D'
set label 'P' at screen 0.5884,0.5502 center front tc rgb '#4D4D4D' font 'Sans,12'
set label 'pump' at screen 0.5884,0.4338 center front tc rgb '#4D4D4D' font 'Sans,12'
set arrow from first 790, first 272 to first 802, first 48 nohead front lw 2 lc rgb '#4D4D4D'
set arrow from first 802, first 48 to first 973, first 48 nohead front lw 2 lc rgb '#4D4D4D'
set arrow from first 973, first 48 to first 985, first 272 nohead front lw 2 lc rgb '#4D4D4D'
set label 'container' at screen 0.7396,0.4338 center front tc rgb '#4D4D4D' font 'Sans,12'
$flow5 << EOD
22 66
164 66
164 256
22 256
EOD
set label 'sun on the collector' at screen 0.0183,0.7600 left front tc rgb '#000000' font 'Sans,12'
set label '100 %, 5.23 MJ' at screen 0.0183,0.7325 left front tc rgb '#4D4D4D' font 'Sans,12'
plot $flow0 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#F3E9B5', $flow1 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#D55E00', $flow2 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#E8BFD6', $flow3 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#56B4E9', $flow4 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#0072B2', $flow5 using 1:2 with filledcurves closed fs solid 0.9 noborder lc rgb '#F8D66D'
unset label
load 'panel.gp'
set lmargin at screen 0.0650
set rmargin at screen 0.7750
set bmargin at screen 0.0850
set tmargin at screen 0.2650
set grid xtics ytics back ls 100
$energy << EOD
1 0 677.38 0 0 677.38 677.38 677.38 0 -5.14 NaN 677.38 679.94 -5.14 -5.14 679.94 679.94 679.94 -5.14 -5.14 NaN 679.94 952.9 -5.14 -5.14 952.9
16 0 656.49 0 0 656.49 656.49 656.66 0 0 656.66 656.66 688.78 0 0 688.78 688.78 688.79 0 0 688.79 688.79 967.395 0 0 967.395
31 0 649.7 0 0 649.7 649.7 653.54 0 0 653.54 653.54 706.08 0 0 706.08 706.08 706.08 0 0 706.08 706.08 991.694 0 0 991.694
46 0 0 0 -7.25 NaN 0 7.25 -7.25 -7.25 7.25 7.25 78.83 -7.25 -7.25 78.83 78.83 257.24 -7.25 -7.25 257.24 257.24 358.359 -7.25 -7.25 358.359
61 0 611.33 0 0 611.33 611.33 622.78 0 0 622.78 622.78 717.73 0 0 717.73 717.73 717.73 0 0 717.73 717.73 1008.051 0 0 1008.051
76 0 591.45 0 0 591.45 591.45 606.06 0 0 606.06 606.06 718.62 0 0 718.62 718.62 718.62 0 0 718.62 718.62 1009.305 0 0 1009.305

NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN NaN
EOD
set label 'Power on the gross area, W' at screen 0.0180,0.3290 left front tc rgb '#000000' font 'Sans,13.5'
set yrange [0:1500]
set ytics nomirror scale 0 tc rgb '#4D4D4D' font 'Sans,12' 0,500,1500.0005
set xrange [0:83.5]
set xtics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('0' 0, '10' 10, '20' 20, '30' 30, '40' 40, '50' 50, '60' 60, '70' 70, '80' 80)
set label 'minutes from the start' at screen 0.4200,0.0225 center front tc rgb '#4D4D4D' font 'Sans,12'
set x2range [0:83.5]
set x2tics nomirror out scale 0.5 tc rgb '#4D4D4D' font 'Sans,12' ('10:45' 2.45, '11:00' 17.45, '11:15' 32.45, '11:30' 47.45, '11:45' 62.45, '12:00' 77.45)
set border 5
set label 'UTC' at screen 0.8030,0.2920 left front tc rgb '#4D4D4D' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.0830 to screen 0.8010, screen 0.1070 front fc rgb '#0072B2' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'kept in the water' at screen 0.8090,0.0950 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.1230 to screen 0.8010, screen 0.1470 front fc rgb '#56B4E9' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'container’s loss' at screen 0.8090,0.1350 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.1630 to screen 0.8010, screen 0.1870 front fc rgb '#D55E00' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'collector’s loss' at screen 0.8090,0.1750 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.2030 to screen 0.8010, screen 0.2270 front fc rgb '#E8BFD6' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'warming the collector' at screen 0.8090,0.2150 left front tc rgb '#000000' font 'Sans,12'
set object rectangle from screen 0.7870, screen 0.2430 to screen 0.8010, screen 0.2670 front fc rgb '#F3E9B5' fs solid 0.9 border lc rgb '#4D4D4D'
set label 'not absorbed' at screen 0.8090,0.2550 left front tc rgb '#000000' font 'Sans,12'
plot NaN, $energy using 1:2:3 with filledcurves fs solid 0.9 noborder lc rgb '#0072B2', '' using 1:4:5 with filledcurves fs solid 0.9 noborder lc rgb '#0072B2', $energy using 1:7:8 with filledcurves fs solid 0.9 noborder lc rgb '#56B4E9', '' using 1:9:10 with filledcurves fs solid 0.9 noborder lc rgb '#56B4E9', $energy using 1:12:13 with filledcurves fs solid 0.9 noborder lc rgb '#D55E00', '' using 1:14:15 with filledcurves fs solid 0.9 noborder lc rgb '#D55E00', $energy using 1:17:18 with filledcurves fs solid 0.9 noborder lc rgb '#E8BFD6', '' using 1:19:20 with filledcurves fs solid 0.9 noborder lc rgb '#E8BFD6', $energy using 1:22:23 with filledcurves fs solid 0.9 noborder lc rgb '#F3E9B5', '' using 1:24:25 with filledcurves fs solid 0.9 noborder lc rgb '#F3E9B5', $energy using 1:6 with lines lw 1 lc rgb 'white', $energy using 1:11 with lines lw 1 lc rgb 'white', $energy using 1:16 with lines lw 1 lc rgb 'white', $energy using 1:21 with lines lw 1 lc rgb 'white', $energy using 1:26 with lines lw 1 lc rgb 'white'
unset multiplot
unset output
