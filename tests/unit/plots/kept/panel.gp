unset arrow
unset object
unset xtics
unset ytics
unset y2tics
unset x2tics
unset xlabel
unset x2label
unset logscale
set xrange [*:*]
set yrange [*:*]
set y2range [*:*]
set border 1
