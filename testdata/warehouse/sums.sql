-- From a log kept in a warehouse, all that a mixed model of walls needs: for each
-- mold the number of its casts and the sums of products of
--   t    log of the dwell in quarters of an hour
--   age  casts that the mold had made before, in hundreds
--   y    log of the wall in units of 4.5 mm
-- which are of about the same size and near 0, so that the products keep their digits.
-- Form and kind are the same for all casts of a mold. 'LOG' is the folder.
WITH numbered AS (
  SELECT upper("Mold") AS mold,
   (row_number() OVER (PARTITION BY upper("Mold") ORDER BY "Cast no.") - 1) / 1e2 AS age,
   "Dwell (min)" AS dwell,
   "Wall (mm)" AS wall
  FROM 'LOG/casts*.parquet'
), rows AS (
  SELECT mold, age, ln(dwell / 15) AS t, ln(wall / 4.5) AS y
  FROM numbered
  WHERE wall BETWEEN 0.5 AND 30 AND dwell BETWEEN 1 AND 720
)
SELECT
  rows.mold, m."Form" AS form, m."Kind" AS kind, count(*) AS n,
  sum(t) AS t, sum(age) AS age, sum(y) AS y,
  sum(t * t) AS t_t, sum(t * age) AS t_age, sum(age * age) AS age_age,
  sum(t * y) AS t_y, sum(age * y) AS age_y, sum(y * y) AS y_y
FROM rows JOIN 'LOG/molds*.parquet' AS m ON upper(m."Mold") = rows.mold
GROUP BY rows.mold, m."Form", m."Kind"
ORDER BY rows.mold
