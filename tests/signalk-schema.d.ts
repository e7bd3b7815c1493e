/** What the tests use of the published schemas of open marine data, which come without types. */
declare module '@signalk/signalk-schema' {
  export interface Validation {
    valid: boolean;
    errors: readonly { message: string; dataPath: string }[];
    /** References that could not be resolved; what they govern was not checked at all. */
    missing: readonly string[];
  }
  export interface Tv4 {
    validateMultiple(
      value: unknown,
      schema: unknown,
      checkRecursive: boolean,
      banUnknown: boolean,
    ): Validation;
  }
  const schema: {
    validateDelta(delta: unknown): Validation;
    getTv4(): Tv4;
    getSourceId(source: unknown): string;
    getUnits(path: string): string | undefined;
  };
  export default schema;
}
