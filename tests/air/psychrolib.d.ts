// The package ships no types; these are the functions that the tests call, all in SI units after SetUnitSystem(SI).
declare module "psychrolib" {
  const psychrolib: {
    readonly SI: number;
    SetUnitSystem(system: number): void;
    GetSatVapPres(temperature: number): number;
    GetHumRatioFromRelHum(temperature: number, relativeHumidity: number, pressure: number): number;
    GetRelHumFromHumRatio(temperature: number, humidityRatio: number, pressure: number): number;
    GetMoistAirEnthalpy(temperature: number, humidityRatio: number): number;
    GetTDryBulbFromEnthalpyAndHumRatio(enthalpy: number, humidityRatio: number): number;
    GetMoistAirDensity(temperature: number, humidityRatio: number, pressure: number): number;
  };
  export default psychrolib;
}
