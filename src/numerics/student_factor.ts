/** Student's t for 95 % (two-sided), JCGM 100:2008 table G.2; beyond ten degrees of freedom its value at ten. */
export const studentFactor = (freedom: number): number => student[Math.min(freedom, student.length) - 1]!;
const student = [12.71, 4.3, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23];
