-- Counts by month from the raw text of a version 1 LCD file, in SQL alone; the
-- limits are those of the test that runs it. An outside check: no code is shared.
.mode csv
.import lcd.csv raw
CREATE TABLE report AS
SELECT rowid AS line,
       (CAST(substr(DATE, 12, 2) AS INTEGER) * 60 + CAST(substr(DATE, 15, 2) AS INTEGER) + 59) / 60 AS up,
       substr(DATE, 1, 10) AS printed,
       CASE WHEN HOURLYDRYBULBTEMPF NOT GLOB '*[^0-9.-]*' AND HOURLYDRYBULBTEMPF <> '' THEN CAST(HOURLYDRYBULBTEMPF AS REAL) END AS t,
       CASE WHEN HOURLYRelativeHumidity NOT GLOB '*[^0-9.-]*' AND HOURLYRelativeHumidity <> '' THEN CAST(HOURLYRelativeHumidity AS REAL) END AS rh,
       CASE WHEN HOURLYWindSpeed NOT GLOB '*[^0-9.-]*' AND HOURLYWindSpeed <> '' THEN CAST(HOURLYWindSpeed AS REAL) END AS wind,
       HOURLYPrecip = 'T' OR (CAST(rtrim(HOURLYPrecip, 's') AS REAL) > 0 AND HOURLYPrecip NOT GLOB '*.*.*') AS wet
  FROM raw WHERE REPORTTPYE = 'FM-15';
CREATE TABLE hour AS
SELECT CASE up WHEN 0 THEN date(printed, '-1 day') ELSE printed END AS day, CASE up WHEN 0 THEN 24 ELSE up END AS label, t, rh, wind, wet
  FROM report GROUP BY 1, 2 HAVING line = min(line);
CREATE TABLE burning AS
SELECT day, label, t IS NOT NULL AND rh IS NOT NULL AND wind IS NOT NULL AS known,
       coalesce(t BETWEEN 35 AND 85 AND rh BETWEEN 25 AND 55 AND wind BETWEEN 3 AND 15 AND NOT wet, 0) AS good
  FROM hour WHERE label BETWEEN 10 AND 18;
CREATE TABLE known AS SELECT day, sum(good) AS hours FROM burning GROUP BY day HAVING sum(known) * 10 >= 9 * 8;
CREATE TABLE run AS
SELECT day, count(*) AS length
  FROM (SELECT day, label - row_number() OVER (PARTITION BY day ORDER BY label) AS island FROM burning WHERE good)
 GROUP BY day, island;
SELECT CAST(substr(day, 6, 2) AS INTEGER), count(*), sum(day IN (SELECT day FROM run WHERE length >= 3)), sum(hours)
  FROM known GROUP BY 1 ORDER BY 1;
